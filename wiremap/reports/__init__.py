"""What a check found, shown: as text for a screen, as JSON, and as SARIF for editors and code hosts.

It may import everything below it but holds no engineering: it shows what `check` found and adds nothing to it.
Begin reading at `text.py`, whose `text` prints a report as `wiremap check` does.
"""
