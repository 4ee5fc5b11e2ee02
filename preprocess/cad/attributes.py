"""Texts that block insertions carry: attributes by their tags."""

from __future__ import annotations

import re
from collections.abc import Mapping

from ezdxf.entities.attrib import AttDef, Attrib
from ezdxf.entities.insert import Insert

_SIGNS = {"d": "°", "c": "⌀", "p": "±", "%": "%"}
_CODED = re.compile(r"%%(\d{3}|[dcpDCP%])")
_CARETS = re.compile(r"\^(.)")


def attributes(insert: Insert) -> Mapping[str, str]:
    """Text by tag in capitals, without blanks at the ends; constant ones from the block, empty ones left out."""
    found: dict[str, str] = {}
    block = insert.block()
    if block is not None:
        constant = [one for one in block if one.is_alive and isinstance(one, AttDef) and one.is_const]
        found |= {str(one.dxf.get("tag", "")): plain(str(one.dxf.get("text", ""))) for one in constant}
    for attribute in (attribute for attribute in insert.attribs if attribute.is_alive):
        found[str(attribute.dxf.get("tag", ""))] = _text(attribute)
    return {tag.strip().upper(): text.strip() for tag, text in found.items() if text.strip()}


def plain(text: str) -> str:
    """A text of DXF as it is read on paper: %%d, %%c, %%p, %%%, %%nnn and ^-codes replaced (DXF reference, TEXT)."""
    carets = _CARETS.sub(lambda match: "^" if match[1] == " " else chr((ord(match[1]) - 64) % 128), text)
    return _CODED.sub(lambda match: _SIGNS.get(match[1].lower()) or chr(int(match[1])), carets)


def _text(attribute: Attrib) -> str:
    if attribute.has_embedded_mtext_entity:
        return str(attribute.plain_mtext())
    return plain(str(attribute.dxf.get("text", "")))
