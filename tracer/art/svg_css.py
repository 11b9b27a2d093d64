"""The style of SVG elements: attributes, style sheets, inheritance (CSS 2.1, as far as drawings need it)."""

import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field

from tracer.art.svg_xml import Node

Style = Mapping[str, str]

INHERITED = frozenset(
    {
        "clip-rule",
        "color",
        "fill",
        "fill-opacity",
        "fill-rule",
        "font-size",
        "marker-end",
        "marker-mid",
        "marker-start",
        "stroke",
        "stroke-dasharray",
        "stroke-linecap",
        "stroke-opacity",
        "stroke-width",
        "visibility",
    }
)
"""What children take over (SVG 1.1, appendix N: the property index)."""

OWN = frozenset(
    {
        "clip-path",
        "display",
        "mask",
        "opacity",
        "overflow",
        "transform",
        "transform-origin",
        "vector-effect",
    }
)
"""What holds for an element alone."""

_COMMENT = re.compile(r"/\*.*?\*/|<!--|-->", re.DOTALL)
_RULE = re.compile(r"([^{}]*)\{([^{}]*)\}")
_MEDIA = re.compile(r"@media([^{]*)\{((?:[^{}]*\{[^{}]*\})*)[^{}]*\}")
_STEP = re.compile(r"(\s*>\s*|\s+)")
_COMPOUND = re.compile(r"(\*|[\w-]+)?((?:[.#][\w-]+)*)")


@dataclass(frozen=True)
class _Rule:
    """Declarations for what a selector means: its steps from the outermost inwards, each after its joiner."""

    steps: tuple[tuple[str, str, frozenset[str], frozenset[str]], ...]
    weight: tuple[int, int, int, int]
    declared: tuple[tuple[str, str, bool], ...]


@dataclass
class Sheet:
    """All style sheets of a file, rules kept by what the last step of their selector asks for."""

    rules: dict[str, list[_Rule]] = field(default_factory=dict)
    count: int = 0

    def add(self, text: str) -> None:
        """Add the text of one style element; what cannot be understood is left out, as CSS says."""
        plain = _MEDIA.sub(lambda m: m[2] if _on_screen(m[1]) else "", _COMMENT.sub(" ", text))
        plain = re.sub(r"@[\w-]+[^{};]*(;|\{[^{}]*\})", " ", plain)
        for selectors, body in _RULE.findall(plain):
            declared = tuple(declarations(body))
            for selector in selectors.split(","):
                self._add_rule(selector.strip(), declared)

    def _add_rule(self, selector: str, declared: tuple[tuple[str, str, bool], ...]) -> None:
        steps = []
        parts = ["", *_STEP.split(selector)]
        for joiner, compound in zip(parts[::2], parts[1::2], strict=False):
            match = _COMPOUND.fullmatch(compound)
            if not match or not compound:
                return
            names = re.findall(r"([.#])([\w-]+)", match[2])
            ids = frozenset(name for mark, name in names if mark == "#")
            classes = frozenset(name for mark, name in names if mark == ".")
            steps.append((joiner.strip(), (match[1] or "*").lower(), ids, classes))
        self.count += 1
        weight = (*(sum(len(step[k]) for step in steps) for k in (2, 3)), sum(s[1] != "*" for s in steps))
        _, tag, ids, classes = steps[-1]
        key = next(iter([*(f"#{i}" for i in sorted(ids)), *(f".{c}" for c in sorted(classes)), tag]))
        self.rules.setdefault(key, []).append(_Rule(tuple(steps), (*weight, self.count), declared))

    def matching(self, node: Node) -> list[_Rule]:
        """Return the rules that hold for an element, weakest first."""
        keys = ["*", node.tag.lower(), f"#{node.attributes.get('id', '')}"]
        keys += [f".{name}" for name in set(node.attributes.get("class", "").split())]
        found = [rule for key in keys for rule in self.rules.get(key, ()) if _matches(node, rule.steps)]
        return sorted(found, key=lambda rule: rule.weight)


def declarations(text: str) -> Iterator[tuple[str, str, bool]]:
    """Yield (property, value, important) of the body of a rule or a style attribute."""
    for part in re.split(r";(?![^(]*\))", _COMMENT.sub(" ", text)):
        name, colon, value = part.partition(":")
        if colon and value.strip():
            plain, mark, _ = value.partition("!")
            yield name.strip().lower(), plain.strip(), bool(mark)


def style_of(node: Node, parent: Style, sheet: Sheet) -> Style:
    """Return the style of an element: its own over its parent's."""
    style = {name: value for name, value in parent.items() if name in INHERITED}
    own: dict[str, str] = {
        name: value.strip() for name, value in node.attributes.items() if name in INHERITED or name in OWN
    }
    rules = [declared for rule in sheet.matching(node) for declared in rule.declared] if sheet.rules else []
    said = list(declarations(node.attributes.get("style", "")))
    ranked = sorted([*rules, *said], key=lambda one: one[2])
    own |= {name: value for name, value, _ in ranked if name in INHERITED or name in OWN}
    own = {name: parent.get(name, "") if value.lower() == "inherit" else value for name, value in own.items()}
    return {name: value for name, value in {**style, **own}.items() if value}


def _on_screen(media: str) -> bool:
    """Say whether the rules of a media query hold where a drawing is looked at."""
    return not media.strip() or (bool(re.search(r"\b(all|screen)\b", media)) and "not" not in media)


def _matches(node: Node, steps: tuple[tuple[str, str, frozenset[str], frozenset[str]], ...]) -> bool:
    """Say whether an element is what the steps of a selector mean."""
    joiner, tag, ids, classes = steps[-1]
    if tag not in ("*", node.tag.lower()) or not ids <= {node.attributes.get("id")}:
        return False
    if not classes <= set(node.attributes.get("class", "").split()):
        return False
    if len(steps) == 1:
        return True
    above = node.parent
    while above is not None:
        if _matches(above, steps[:-1]):
            return True
        above = None if joiner == ">" else above.parent
    return False
