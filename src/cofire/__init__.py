"""cofire: will these low-fire glazes ripen together, and do they fit the body?

>>> import cofire
>>> studio = cofire.Studio()
>>> studio.fit("clear-crackle", "raku", firing="raku-workshop").yes
True
"""

from __future__ import annotations

from importlib import import_module
from typing import TYPE_CHECKING, Any

__version__ = "0.1.0"

#: name -> module it comes from; loaded on first use, so that the command line starts at once.
_FROM = {
    "Studio": "cofire.studio",
    "CofireError": "cofire.errors",
    "Problems": "cofire.errors",
    "OXIDES": "cofire.chem.oxides",
    "Conditions": "cofire.model.conditions",
    "Interval": "cofire.model.interval",
    "Finding": "cofire.findings",
    "Recipe": "cofire.records",
    "Material": "cofire.records",
    "Body": "cofire.records",
    "Firing": "cofire.records",
    "Kiln": "cofire.records",
    "AddedMaterial": "cofire.answers.materials",
    "AdjustAnswer": "cofire.answers.results.adjust",
    "Begun": "cofire.files.new_studio",
    "Blend": "cofire.answers.blend.results",
    "CardAnswer": "cofire.answers.card",
    "Catalogue": "cofire.answers.catalogue",
    "CheckAnswer": "cofire.answers.check",
    "ComposeAnswer": "cofire.answers.compose",
    "DayPlan": "cofire.answers.day.plan",
    "Exported": "cofire.answers.export",
    "FiredAnswer": "cofire.answers.fired",
    "FiringAnswer": "cofire.answers.firing",
    "FitAnswer": "cofire.answers.results.fit",
    "FitAnswers": "cofire.answers.results.fit",
    "FormulaAnswer": "cofire.answers.formula",
    "Glossary": "cofire.answers.glossary",
    "HistoryAnswer": "cofire.answers.history",
    "ImportAnswer": "cofire.answers.import_recipes",
    "MaterialsImport": "cofire.answers.import_materials",
    "StockAnswer": "cofire.answers.stock",
    "StockImport": "cofire.answers.import_stock",
    "RestoreAnswer": "cofire.answers.restore",
    "KilnLogAnswer": "cofire.answers.kiln_log",
    "Named": "cofire.answers.materials",
    "Nickname": "cofire.answers.materials",
    "Nicknames": "cofire.answers.materials",
    "LeversAnswer": "cofire.answers.levers",
    "LustreAnswer": "cofire.answers.lustre",
    "MapAnswer": "cofire.answers.map.results",
    "MaterialsAnswer": "cofire.answers.materials",
    "Pack": "cofire.answers.batch.records",
    "PairAnswer": "cofire.answers.results.pair",
    "ReadAnswer": "cofire.answers.table",
    "SetAnswer": "cofire.answers.set_amount",
    "SavedVersion": "cofire.answers.history",
    "SensitivityAnswer": "cofire.answers.sensitivity.results",
    "SwapAnswers": "cofire.answers.swap",
    "TableAnswer": "cofire.answers.table",
    "TileAnswer": "cofire.answers.tile",
    "Version": "cofire.files.recipe_history",
}
__all__ = ["__version__", *_FROM]

if TYPE_CHECKING:
    from cofire.answers.batch.records import Pack as Pack
    from cofire.answers.blend.results import Blend as Blend
    from cofire.answers.card import CardAnswer as CardAnswer
    from cofire.answers.catalogue import Catalogue as Catalogue
    from cofire.answers.check import CheckAnswer as CheckAnswer
    from cofire.answers.compose import ComposeAnswer as ComposeAnswer
    from cofire.answers.day.plan import DayPlan as DayPlan
    from cofire.answers.export import Exported as Exported
    from cofire.answers.fired import FiredAnswer as FiredAnswer
    from cofire.answers.firing import FiringAnswer as FiringAnswer
    from cofire.answers.formula import FormulaAnswer as FormulaAnswer
    from cofire.answers.glossary import Glossary as Glossary
    from cofire.answers.history import HistoryAnswer as HistoryAnswer
    from cofire.answers.history import SavedVersion as SavedVersion
    from cofire.answers.import_materials import MaterialsImport as MaterialsImport
    from cofire.answers.import_recipes import ImportAnswer as ImportAnswer
    from cofire.answers.import_stock import StockImport as StockImport
    from cofire.answers.kiln_log import KilnLogAnswer as KilnLogAnswer
    from cofire.answers.levers import LeversAnswer as LeversAnswer
    from cofire.answers.lustre import LustreAnswer as LustreAnswer
    from cofire.answers.map.results import MapAnswer as MapAnswer
    from cofire.answers.materials import AddedMaterial as AddedMaterial
    from cofire.answers.materials import MaterialsAnswer as MaterialsAnswer
    from cofire.answers.materials import Named as Named
    from cofire.answers.materials import Nickname as Nickname
    from cofire.answers.materials import Nicknames as Nicknames
    from cofire.answers.restore import RestoreAnswer as RestoreAnswer
    from cofire.answers.results.adjust import AdjustAnswer as AdjustAnswer
    from cofire.answers.results.fit import FitAnswer as FitAnswer
    from cofire.answers.results.fit import FitAnswers as FitAnswers
    from cofire.answers.results.pair import PairAnswer as PairAnswer
    from cofire.answers.sensitivity.results import SensitivityAnswer as SensitivityAnswer
    from cofire.answers.set_amount import SetAnswer as SetAnswer
    from cofire.answers.stock import StockAnswer as StockAnswer
    from cofire.answers.swap import SwapAnswers as SwapAnswers
    from cofire.answers.table import ReadAnswer as ReadAnswer
    from cofire.answers.table import TableAnswer as TableAnswer
    from cofire.answers.tile import TileAnswer as TileAnswer
    from cofire.chem.oxides import OXIDES as OXIDES
    from cofire.errors import CofireError as CofireError
    from cofire.errors import Problems as Problems
    from cofire.files.new_studio import Begun as Begun
    from cofire.files.recipe_history import Version as Version
    from cofire.findings import Finding as Finding
    from cofire.model.conditions import Conditions as Conditions
    from cofire.model.interval import Interval as Interval
    from cofire.records import Body as Body
    from cofire.records import Firing as Firing
    from cofire.records import Kiln as Kiln
    from cofire.records import Material as Material
    from cofire.records import Recipe as Recipe
    from cofire.studio import Studio as Studio


def __getattr__(name: str) -> Any:
    if name not in _FROM:
        raise AttributeError(f"module 'cofire' has no attribute {name!r}")
    return getattr(import_module(_FROM[name]), name)


def __dir__() -> list[str]:
    return sorted(__all__)
