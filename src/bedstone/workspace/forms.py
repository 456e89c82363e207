"""Forms for the parts of a bridge file, made from its schema: HTML out, values for the file in.

A form shows what stands in the file, word for word with its units; what is left out shows its
default in grey. Every control carries the path of its field.
"""

from __future__ import annotations

import json
import math
import re
import types
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from html import escape, unescape
from typing import Annotated, Any, Final, Literal, Union, get_args, get_origin

import tomlkit
from pydantic import BaseModel
from pydantic.fields import FieldInfo
from tomlkit.exceptions import TOMLKitError

from bedstone.bridge import schema
from bedstone.bridge.reader import shorten, where
from bedstone.bridge.units import Quantity, format_quantity
from bedstone.errors import Fault, InputError

Step = str | int
Path = tuple[Step, ...]

#: How a default is shown that the schema holds in SI.
_UNITS: Final = {
    "Pa": "GPa", "rad": "deg", "N/m**3": "kN/m3", "m": "m", "N/m": "kN/m", "m/s": "km/h",
}  # fmt: skip
#: Fields that are loads for each area, not stresses.
_AREAL: Final = ("value", "uniform", "pressure")
#: Names that start a new entry of a list, and what it needs to be one.
NEW: Final[Mapping[str, dict[str, Any]]] = {
    "support": {"mark": "X1", "chainage": "0 m"},
    "stage": {"name": "next stage", "carries": "short"},
    "loads": {"kind": "self weight"},
    "segments": {"start": "0 m", "end": "10 m", "section": "name"},
    "settlement": {"support": "mark", "value": "10 mm"},
    "lengthening": {"members": "bottom_chord", "strain": 0.0001},
    "jacking": {"seat": "mark", "lift": "10 mm"},
    "tracks": {"offset": "0 m"},
    "trains": {"name": "own train", "axles": [{"load": "100 kN"}]},
    "axles": {"load": "100 kN", "gap": "1.2 m"},
    "given": {"seat": "mark", "kind": "pot"},
    "pinned": {"name": "picked"},
}
#: What a new alternative of a part needs.
_KINDS: Final[Mapping[str, dict[str, Any]]] = {
    "rigid": {},
    "column": {"height": "8 m", "E": "33 GPa", "diameter": "1.2 m"},
    "springs": {"springs": {"kx": "100 MN/m"}},
    "plate girder": {
        "top_width": "400 mm", "top_thickness": "25 mm", "web_depth": "1.5 m",
        "web_thickness": "14 mm", "bottom_width": "500 mm", "bottom_thickness": "35 mm",
    },
    "concrete rectangle": {"width": "500 mm", "depth": "1 m"},
}  # fmt: skip


@dataclass(frozen=True)
class Section:
    """A page of the form: its word, its name and the fields at the top of the file it holds."""

    word: str
    name: str
    fields: tuple[str, ...]


#: In the order in which an engineer fills in a bridge.
SECTIONS: Final = (
    Section("head", "Head", ("bridge", "alignment")),
    Section("supports", "Supports", ("support",)),
    Section("superstructure", "Superstructure", ("superstructure", "materials")),
    Section("stages", "Stages", ("stage",)),
    Section("actions", "Actions", ("actions",)),
    Section("arrangement", "Arrangement", ("arrangement",)),
    Section("bearings", "Bearings", ("bearings",)),
    Section("compare", "Compare", ("compare",)),
    Section("faults", "Faults", ("faults",)),
    Section("uncertainty", "Uncertainty", ("uncertainty",)),
    Section("replacement", "Replacement", ("replacement",)),
    Section("values", "Values", ("choices", "values")),
)


@dataclass(frozen=True)
class Control:
    """How one field is written: a line of text, a list of words, ...

    `kind`: ``text``, ``number``, ``plain`` (number or word), ``truth``, ``choice``; `many`: several
    of them in a list.
    """

    kind: str
    many: bool = False
    options: tuple[str, ...] = ()
    hint: str = ""
    unit: str = ""


@dataclass
class Sheet:
    """What a form is made from: the data of the file and its faults by place."""

    data: dict[str, Any]
    faults: Mapping[str, Fault]
    used: set[str] = field(default_factory=set)

    def fault(self, path: Path) -> Fault | None:
        """The fault at a field."""
        name = where(self.data, path)
        found = self.faults.get(name)
        if found is not None:
            self.used.add(name)
        return found


# ------------------------------------------------------------------ the schema
def _options(annotation: Any, metadata: Sequence[Any] = ()) -> list[tuple[Any, tuple[Any, ...]]]:
    """Alternatives of an annotation without nothing, each with what is told about it."""
    if get_origin(annotation) is Annotated:
        inner, *told = get_args(annotation)
        return _options(inner, (*metadata, *told))
    if get_origin(annotation) in (Union, types.UnionType):
        return [
            found
            for part in get_args(annotation)
            if part is not type(None)
            for found in _options(part, metadata)
        ]
    return [(annotation, tuple(metadata))]


def _models(annotation: Any) -> list[type[BaseModel]]:
    return [one for one, _ in _options(annotation) if _is_model(one)]


def _is_model(one: Any) -> bool:
    return isinstance(one, type) and issubclass(one, BaseModel)


def control_of(annotation: Any, metadata: Sequence[Any] = ()) -> Control | None:
    """How a field is written in one line; None for a part with fields of its own."""
    kinds = _options(annotation, metadata)
    words: list[str] = []
    text, number, truth, many, hint, unit = False, False, False, False, "", ""
    for one, told in kinds:
        quantity = next((item for item in told if isinstance(item, Quantity)), None)
        if quantity is not None:
            text, hint, unit = True, quantity.words, quantity.unit
            number = number or not quantity.unit
        elif get_origin(one) is Literal:
            words += [str(word) for word in get_args(one)]
        elif get_origin(one) is list:
            inner = control_of(get_args(one)[0])
            if inner is None:
                return None
            many = True
            words += [word for word in inner.options if word not in words]
            text, number = text or inner.kind == "text", number or inner.kind == "number"
            hint, unit = hint or inner.hint, unit or inner.unit
        elif one is bool:
            truth = True
        elif one in (int, float):
            number = True
        elif one is str:
            text = True
        else:
            return None
    if many:
        kind = "number" if number and not text and not words else "text"
        return Control(kind, True, tuple(words), hint or "several, with commas between", unit)
    if words and not (text or number or truth):
        return Control("choice", options=tuple(words))
    if truth and not (text or number or words):
        return Control("truth", options=("true", "false"))
    if number and not text:
        return Control("number", hint="a number")
    kind = "plain" if number else "text"
    return Control(kind, options=tuple(words), hint=hint, unit=unit)


# ------------------------------------------------------------------ values
def value_of(control: Control, text: str) -> object:
    """What stands in the file for a text that was typed; None takes the field out.

    What does not fit goes into the file as it was typed, where the reader finds it and says what
    is allowed.
    """
    text = text.strip()
    if not text:
        return None
    if control.many:
        parts = [part.strip() for part in text.split(",") if part.strip()]
        one = Control(control.kind, options=control.options, unit=control.unit)
        if len(parts) == 1 and parts[0] in control.options:
            return parts[0]  # one word for all
        return [value_of(one, part) for part in parts]
    if control.kind == "truth":
        return {"true": True, "false": False}.get(text, text)
    if control.kind in ("number", "plain"):
        return _number(text)
    return text


def _number(text: str) -> object:
    if text in ("true", "false"):
        return text == "true"
    try:
        number = float(text)
    except ValueError:
        return text
    if not math.isfinite(number):
        return text
    return int(text) if re.fullmatch(r"[+-]?\d{1,15}", text) else number


def shown(value: object) -> str:
    """What stands in the file, as it is typed."""
    if value is None:
        return ""
    if isinstance(value, bool):
        return str(value).lower()
    if isinstance(value, list):
        return ", ".join(shown(item) for item in value)
    if isinstance(value, dict):
        return "{…}"
    return str(value)


def dotted(path: Path) -> str:
    """A path in the words of `bedstone.bridge.edit.change_text`."""
    text = ""
    for step in path:
        if isinstance(step, int):
            text += f"[{step + 1}]"
            continue
        plain = re.fullmatch(r"[A-Za-z0-9_-]+", step)
        text += ("." if text else "") + (step if plain else f'"{step}"')
    return text


def path_of(text: str) -> Path:
    """The path that a control of the page carries; raises `InputError` for anything else."""
    try:
        steps = json.loads(text[:2000])
    except ValueError:
        steps = None
    if (
        not isinstance(steps, list)
        or not 1 <= len(steps) <= 12
        or not all(isinstance(step, str) or type(step) is int for step in steps)
        or any('"' in step for step in steps if isinstance(step, str))
    ):
        raise InputError([Fault("form", "field", repr(text[:60]), "a field of the bridge file")])
    return tuple(steps)


def annotation_at(path: Path, data: Mapping[str, Any]) -> tuple[Any, tuple[Any, ...]]:
    """What the schema says of a field; raises `InputError` for a field it does not know."""
    here: tuple[Any, tuple[Any, ...]] = (schema.Bridge, ())
    at: Any = data
    for step in path:
        here = _below(here, step, at)
        at = _get(at, step)
    return here


def _below(here: tuple[Any, tuple[Any, ...]], step: Step, at: Any) -> tuple[Any, tuple[Any, ...]]:
    for one, _ in _options(*here):
        if get_origin(one) is list and isinstance(step, int):
            return get_args(one)[0], ()
        if get_origin(one) is dict and isinstance(step, str):
            return get_args(one)[1], ()
    models = _models(here[0])
    if len(models) > 1 and step == "kind":
        kinds = tuple(kind for model in models for kind in kinds_of(model))
        return Literal[kinds], ()
    model = chosen(models, at) if models else None
    if model is not None and step in model.model_fields:
        info = model.model_fields[str(step)]
        return info.annotation, tuple(info.metadata)
    raise InputError([Fault("form", "field", repr(step), "a field of the bridge file")])


def chosen(models: Sequence[type[BaseModel]], data: Any) -> type[BaseModel] | None:
    """The alternative that the data names by its `kind`; the only one where there is one."""
    if len(models) == 1:
        return models[0]
    kind = data.get("kind") if isinstance(data, dict) else None
    return next((model for model in models if kind in kinds_of(model)), None)


def names_of(annotation: Any, kind: str) -> tuple[str, ...]:
    """Names of the fields of the alternative of a kind; none for a kind that is unknown."""
    for model in _models(annotation):
        if kind in kinds_of(model):
            return tuple(model.model_fields)
    return ()


def first_value(annotation: Any) -> object:
    """What a new entry under a name of its own begins with."""
    control = control_of(annotation)
    if control is not None:
        return control.options[0] if control.options else 0
    models = _models(annotation)
    if len(models) > 1:
        return starting(kinds_of(models[0])[0])
    own = {
        name: "fill in"
        for name, info in (models[0].model_fields.items() if models else ())
        if info.is_required()
    }
    for name in own:
        told = control_of(models[0].model_fields[name].annotation)
        if told is not None and told.options:
            own[name] = told.options[0]
    return own


def kinds_of(model: type[BaseModel]) -> tuple[str, ...]:
    """Words by which an alternative is called."""
    info = model.model_fields.get("kind")
    return tuple(get_args(info.annotation)) if info is not None else ()


def _get(at: Any, step: Step) -> Any:
    if isinstance(at, dict):
        return at.get(str(step)) if isinstance(step, str) else None
    if isinstance(at, list) and isinstance(step, int) and 0 <= step < len(at):
        return at[step]
    return None


def starting(kind: str) -> dict[str, Any]:
    """What a part needs that has just become of another kind."""
    return {"kind": kind, **_KINDS.get(kind, {})}


def with_entry(text: str, path: Path, value: object, key: str | None = None) -> str:
    """The text of a bridge file with one more entry in a list, or in a table under `key`.

    Raises `InputError` where the text cannot take it.
    """
    try:
        document = tomlkit.parse(text)
        at: Any = document
        for step in path[:-1]:
            if isinstance(at, dict) and step not in at:
                at[step] = tomlkit.table()
            at = at[step]
        last = path[-1]
        if key is not None:
            if last not in at:
                at[last] = tomlkit.table()
            at[last][key] = value
        elif last not in at:
            at[last] = [value]
        elif isinstance(at[last], tomlkit.items.AoT):
            table = tomlkit.table()
            for name, item in dict(value).items():  # type: ignore[call-overload]
                table[name] = item
            at[last].append(table)
        else:
            at[last].append(value)
        changed = tomlkit.dumps(document)
        same = tomlkit.parse(changed).unwrap() == document.unwrap()
    except (TOMLKitError, LookupError, TypeError, ValueError) as error:
        found = shorten(str(error.args[0]) if error.args else "cannot be added")
        raise InputError([Fault("bridge file", dotted(path), found, "an entry by hand")]) from None
    if not same:
        told = "an entry that does not fit there"
        raise InputError([Fault("bridge file", dotted(path), told, "an entry by hand")])
    return changed


# ------------------------------------------------------------------ HTML
def form(section: Section, sheet: Sheet) -> str:
    """The fields of a section."""
    parts = []
    for name in section.fields:
        info = schema.Bridge.model_fields[name]
        parts.append(_field(name, info, (name,), sheet.data.get(name), sheet, top=True))
    return "".join(parts)


def _field(
    name: str, info: FieldInfo, path: Path, data: Any, sheet: Sheet, *, top: bool = False
) -> str:
    control = control_of(info.annotation, info.metadata)
    if control is not None:
        needed = info.is_required()
        return _line(name, control, path, data, sheet, default_of(info, control), needed)
    return _part(name, info.annotation, path, data, sheet, top=top)


def _part(
    name: str, annotation: Any, path: Path, data: Any, sheet: Sheet, *, top: bool = False
) -> str:
    """A field with fields of its own: a part, a list of parts, parts by name."""
    for one, _ in _options(annotation):
        if get_origin(one) is list and _models(get_args(one)[0]):
            return _list(name, get_args(one)[0], path, data, sheet, top=top)
        if get_origin(one) is dict:
            return _named(name, get_args(one)[1], path, data, sheet, top=top)
    models = _models(annotation)
    if not models:  # a matrix: its place is the text of the file
        return f'<p class="note">{escape(_words(name))}: in the text beside.</p>'
    model = chosen(models, data)
    inner = ""
    if len(models) > 1:
        kinds = tuple(kind for one in models for kind in kinds_of(one))
        told = data.get("kind") if isinstance(data, dict) else None
        inner += _line("kind", Control("choice", options=kinds), (*path, "kind"), told, sheet, "",
                       top, form="kind")  # fmt: skip
    if model is not None:
        own = data if isinstance(data, dict) else {}
        inner += _doc(model)
        inner += "".join(
            _field(field_name, info, (*path, field_name), own.get(field_name), sheet)
            for field_name, info in model.model_fields.items()
            if not (len(models) > 1 and field_name == "kind")
        )
    return _group(name, path, inner, sheet, opened=top or bool(data), told=bool(data), top=top)


def _list(
    name: str, annotation: Any, path: Path, data: Any, sheet: Sheet, *, top: bool = False
) -> str:
    entries = data if isinstance(data, list) else []
    model = _models(annotation)[0]
    parts = [_doc(model)]
    for place, entry in enumerate(entries):
        own = (*path, place)
        told = entry if isinstance(entry, dict) else {}
        head = told.get("mark") or told.get("name") or told.get("seat") or told.get("kind")
        title = f"{place + 1}. {head}" if isinstance(head, str) else f"{place + 1}."
        inner = "".join(
            _field(field_name, info, (*own, field_name), told.get(field_name), sheet)
            for field_name, info in model.model_fields.items()
        )
        remove = _do("remove", own, "Take out", f"take out {name} {title}")
        parts.append(
            f'<fieldset class="entry"><legend>{escape(title)}</legend>'
            f"{_own_fault(own, sheet)}{inner}{remove}</fieldset>"
        )
    parts.append(_do("add", path, f"Add {_singular(name)}", f"add an entry to {name}"))
    return _group(name, path, "".join(parts), sheet, opened=top or bool(entries),
                  told=bool(entries), top=top)  # fmt: skip


def _named(
    name: str, annotation: Any, path: Path, data: Any, sheet: Sheet, *, top: bool = False
) -> str:
    """Parts or values by name, with a control for a new name."""
    entries = data if isinstance(data, dict) else {}
    control = control_of(annotation)
    parts = []
    for key, value in entries.items():
        own = (*path, key)
        if control is not None:
            parts.append(_line(key, control, own, value, sheet, "", True, plain=True))
        else:
            remove = _do("remove", own, "Take out", f"take out {name} {key}")
            inner = _part(key, annotation, own, value, sheet, top=True)
            parts.append(f"{inner}{remove}")
    mark = _id((*path, "+"))
    parts.append(
        f'<div class="adding"><label for="{mark}">new name</label>'
        f'<input id="{mark}" data-new="{_code(path)}" data-key="{mark}" maxlength="60" '
        f'autocomplete="off">{_do("add named", path, "Add", f"add to {name}")}</div>'
    )
    return _group(name, path, "".join(parts), sheet, opened=top or bool(entries),
                  told=bool(entries), top=top)  # fmt: skip


def _group(
    name: str, path: Path, inner: str, sheet: Sheet, *, opened: bool, told: bool, top: bool
) -> str:
    here = where(sheet.data, path)
    within = any(place.startswith(here) for place in sheet.faults)
    state = " open" if opened or within else ""
    word = "" if told or top else ' <small class="note">not in the file</small>'
    return (
        f'<details class="part" data-fold="{_id(path)}"{state}><summary>{escape(_words(name))}'
        f"{word}</summary>{_own_fault(path, sheet)}{inner}</details>"
    )


def _line(
    name: str,
    control: Control,
    path: Path,
    data: Any,
    sheet: Sheet,
    default: str,
    needed: bool,
    *,
    form: str = "field",
    plain: bool = False,
) -> str:
    mark, code = _id(path), _code(path)
    fault = sheet.fault(path)
    label = name if plain else _words(name)
    attributes = (
        f'id="{mark}" data-key="{mark}" data-{form}="{code}" aria-describedby="{mark}-fault"'
        + (' aria-invalid="true"' if fault else "")
    )
    text = shown(data)
    if control.kind in ("choice", "truth"):
        options = [*control.options]
        if text and text not in options:
            options.insert(0, text)
        left = f"left out ({default})" if default else "choose" if needed else "left out"
        first = "" if needed and data is not None else (
            f'<option value="">{escape(left)}</option>'
        )  # fmt: skip
        inner = "".join(
            f"<option{' selected' if option == text else ''}>{escape(option)}</option>"
            for option in options
        )
        made = f"<select {attributes}>{first}{inner}</select>"
    else:
        example = _example(name, control)
        told = f"left out: {default}" if default else "left out"
        hint = "needed" if needed else told
        if example and not default:
            hint += f", e.g. {example}"
        listed = ""
        if control.options:
            choices = "".join(f'<option value="{escape(word)}">' for word in control.options)
            listed = f'<datalist id="{mark}-list">{choices}</datalist>'
            attributes += f' list="{mark}-list"'
        made = (
            f'<input {attributes} value="{escape(text)}" placeholder="{escape(hint)}" '
            f'title="{escape(_hint(control))}" autocomplete="off" spellcheck="false">{listed}'
        )
    star = ' <span class="needed" title="needed">*</span>' if needed and not plain else ""
    return (
        f'<div class="line"><label for="{mark}">{escape(label)}{star}</label>'
        f'<div>{made}<div class="fault" id="{mark}-fault" role="alert">{_fault(fault)}</div></div>'
        "</div>"
    )


def _example(name: str, control: Control) -> str:
    """A quantity to copy, in the unit that is usual for the field."""
    if control.unit == "Pa":
        return "2.5 kN/m2" if name in _AREAL else "30 MPa"
    if control.unit == "m":
        return "-2.8 m, 0 m, 2.8 m" if control.many else "1.5 m"
    found = re.search(r"e\.g\. '([^']*)'", control.hint)
    return found[1] if found is not None else ""


def faults_html(sheet: Sheet, paths: Sequence[Path]) -> dict[str, str]:
    """Messages of the controls of a form, by the id of the control."""
    return {_id(path): _fault(sheet.fault(path)) for path in paths}


def paths_in(html: str) -> list[Path]:
    """Paths of the controls of a form."""
    found = re.findall(r'data-(?:field|kind)="([^"]*)"', html)
    return [tuple(json.loads(unescape(code))) for code in found]


def _own_fault(path: Path, sheet: Sheet) -> str:
    fault = sheet.fault(path)
    return f'<div class="fault" role="alert">{_fault(fault)}</div>' if fault else ""


def _fault(fault: Fault | None) -> str:
    if fault is None:
        return ""
    return f"found {escape(fault.found)}; allowed: {escape(fault.allowed)}"


def _hint(control: Control) -> str:
    if control.many and control.options:
        return f"one word for all, or several with commas: {', '.join(control.options)}"
    return control.hint


def default_of(info: FieldInfo, control: Control) -> str:
    """The default of a field as it would stand in a file; "" for none."""
    value = info.default
    if info.is_required() or value is None or isinstance(value, BaseModel):
        return ""
    if control.unit and isinstance(value, float):
        unit = control.unit
        if value == 0.0:
            return f"0 {_UNITS.get(unit, unit).replace('**', '')}"
        own = _UNITS.get(unit, unit)
        if unit == "m" and abs(value) < 0.1:
            own = "mm"
        if unit == "Pa" and abs(value) < 1e9:
            own = "MPa"
        return format_quantity(value, unit, own)
    return shown(value)


def _doc(model: type[BaseModel]) -> str:
    """What the schema tells of a part."""
    text = " ".join((model.__doc__ or "").split())
    if not text:
        return ""
    return (
        f'<details class="doc" data-fold="doc-{model.__name__}"><summary>what the fields mean'
        f"</summary><p>{escape(text).replace('``', '').replace('`', '')}</p></details>"
    )


def _do(word: str, path: Path, label: str, name: str) -> str:
    code = _code(path)
    return (
        f'<button type="button" data-do="{word}" data-value="{code}" '
        f'data-key="{escape(word)}-{_id(path)}" aria-label="{escape(name)}">{escape(label)}'
        "</button>"
    )


def _code(path: Path) -> str:
    return escape(json.dumps(list(path), ensure_ascii=False))


def _id(path: Path) -> str:
    return "f-" + re.sub(r"[^A-Za-z0-9_-]", "_", "-".join(str(step) for step in path))


def _words(name: str) -> str:
    """A field in words: ``start_overhang`` is "start overhang"."""
    return name.replace("_", " ")


def _singular(name: str) -> str:
    return {"loads": "a load", "segments": "a segment", "tracks": "a track", "trains": "a train",
            "axles": "an axle", "given": "a given bearing", "pinned": "an arrangement",
            "support": "a support", "stage": "a stage"}.get(name, f"to {_words(name)}")  # fmt: skip


def walk(data: Any, path: Path = ()) -> Iterator[Path]:
    """Paths of everything that stands in the data of a file."""
    if isinstance(data, dict):
        for key, value in data.items():
            yield (*path, key)
            yield from walk(value, (*path, key))
    elif isinstance(data, list):
        for place, value in enumerate(data):
            yield (*path, place)
            yield from walk(value, (*path, place))
