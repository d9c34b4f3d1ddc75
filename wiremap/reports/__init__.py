"""What a check found, shown: as text for a screen, as JSON, as SARIF for editors and code hosts.

It may import everything below it but holds no engineering: it adds nothing to what `check` found.
Begin reading at `text.py`, whose `text` prints a report as `wiremap check` does.
"""
