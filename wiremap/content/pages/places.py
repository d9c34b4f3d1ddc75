"""The card as fitted where the places are decided: they are written once, where they stay."""

from __future__ import annotations

from wiremap.content.pages.fitted_card import places_section
from wiremap.content.stages import Page, Stage

PAGE = Page(key="places", stage=Stage.PLACES, make=places_section, order=4)
