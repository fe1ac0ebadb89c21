"""Labels that look like markup, are long or run the other way stay text in every form; controls are refused."""

from __future__ import annotations

import importlib.util
import json as plain_json
import os
import re
import shutil
import subprocess
import xml.etree.ElementTree as ET
from io import BytesIO
from pathlib import Path

import networkx as nx
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from diagnose.graph.model import Edge, Graph, Node
from diagnose.report.diagram import FORMS, Refused, dot, engine, glyphs, mermaid
from diagnose.report.diagram.labels import box_lines, columns, fold, line_word
from diagnose.rulebook.from_yaml import read_book
from diagnose.yamlfile import InputError
from diagnose.yamlfile.reader import read_text

SVG = "{http://www.w3.org/2000/svg}"
SMALL = Path(__file__).parents[2] / "books" / "small"
NASTY = [
    'a "quoted" label', "<b>bold</b>", "<<table>>", "back\\slash \\N \\G \\l \\n", "a:b", "#1 # of",
    "&amp; &lt; &#38; &",
    "`code` **bold** _it_", "1. list", "- list", "end", "%% comment", "%%{init: {}}%%", "[x] (y) {z} |p| ~t~", "x" * 90,
    "שלום עולם", "مرحبا", "冷却液が濁っている", "Kühlmittel – 9 µS/cm ≤ ½", "e\u0301", "-->", "--", "]]>", "<!-- -->",
    "graph TD; A-->B", "subgraph x", "class a b", "click a href", '"', "\\", "'", "$x^2$", "@{ shape: x }", "a\u00a0b",
]  # fmt: skip
needs_graphviz = pytest.mark.skipif(
    importlib.util.find_spec("graphviz") is None, reason="the extra 'draw' is not installed"
)
needs_npm = pytest.mark.skipif(
    not os.environ.get("MERMAID_HOME") or shutil.which("node") is None,
    reason="no node, or MERMAID_HOME names no folder with npm's mermaid and jsdom",
)
texts = st.one_of(
    st.sampled_from(NASTY),
    st.text(st.characters(codec="utf-8", exclude_categories=("Cc", "Cf", "Cs", "Co", "Cn", "Zl", "Zp")), max_size=60),
).filter(lambda text: bool(text.strip()))


def graph_of(first: str, second: str, word: str) -> Graph:
    nodes = (
        Node("one", "question", first, (second,)),
        Node("two", "cause", second),
        Node("three", "caution", first),
        Node("four", "rule", second, (first,)),
    )
    ends = (("one", "two", word), ("two", "three", first), ("one", "four", word))
    edges = tuple(Edge(source, target, "answer", said) for source, target, said in ends)
    return Graph("nasty", first, nodes, edges, (second, word))


def flat(text: str) -> str:
    return " ".join(text.split())


@needs_graphviz
@settings(max_examples=60, deadline=None)
@given(first=texts, second=texts, word=texts)
def test_svg_and_graphviz_json_show_the_text(first: str, second: str, word: str) -> None:
    graph = graph_of(first, second, word)
    top = ET.fromstring(FORMS["svg"](graph, "en"))
    shown = {
        group.findtext(f"{SVG}title"): [each.text for each in group.findall(f"{SVG}text")]
        for group in top.iter(f"{SVG}g")
        if (group.get("class") or "").startswith("node")
    }
    assert shown == {node.id: box_lines(node) for node in graph.nodes}
    tags = {element.tag.removeprefix(SVG) for element in top.iter()}
    assert tags <= {"svg", "desc", "g", "title", "text", "polygon", "polyline", "path", "ellipse"}
    made = plain_json.loads(engine.layout(dot.render(graph), "json"))
    assert {each["name"] for each in made["objects"] if "nodes" not in each} == {node.id for node in graph.nodes}
    assert len(made["edges"]) == len(graph.edges)


@settings(max_examples=150, deadline=None)
@given(first=texts, second=texts, word=texts)
def test_graphml_and_json_hold_the_text(first: str, second: str, word: str) -> None:
    graph = graph_of(first, second, word)
    net = nx.read_graphml(BytesIO(FORMS["graphml"](graph, "en")), force_multigraph=True)
    assert {name: (data["label"], data["lines"]) for name, data in net.nodes(data=True)} == {
        node.id: (node.label, "\n".join(node.lines)) for node in graph.nodes
    }
    assert sorted(data["word"] for _, _, data in net.edges(data=True)) == sorted(edge.word for edge in graph.edges)
    made = plain_json.loads(FORMS["json"](graph, "en"))
    assert [node["label"] for node in made["nodes"]] == [node.label for node in graph.nodes]


@settings(max_examples=150, deadline=None)
@given(first=texts, second=texts, word=texts)
def test_mermaid_has_one_statement_a_line_and_no_markup(first: str, second: str, word: str) -> None:
    graph = graph_of(first, second, word)
    lines = mermaid.render(graph).splitlines()
    boxes = [line for line in lines if re.match(r"  [a-z]+_[a-z]+[(\[{>]", line)]
    arrows = [line for line in lines if re.match(r"  [a-z]+_[a-z]+ (==>|-\.->|-->)\|", line)]
    assert [len(boxes), len(arrows)] == [len(graph.nodes), len(graph.edges)]
    for line in (*boxes, *arrows):
        inside = line[line.index('"') + 1 : line.rindex('"')].replace("<br/>", "")
        assert not re.search(r'["<>`\\|{}]', inside)
    decoded = [re.sub(r"#(\d+);", lambda m: chr(int(m[1])), line) for line in boxes]
    for line, node in zip(decoded, graph.nodes, strict=True):
        assert "<br/>".join(box_lines(node)) in line


@given(text=texts, width=st.integers(8, 40))
def test_folding_loses_nothing_and_keeps_the_width(text: str, width: int) -> None:
    lines = fold(text, width)
    assert "".join("".join(lines).split()) == "".join(text.split())
    for line in lines:
        assert columns(line) <= width + 6  # a number may stand with its unit


@needs_npm
def test_mermaids_own_parser_finds_every_box_and_line(tmp_path: Path) -> None:
    graphs = [graph_of(a, b, a) for a, b in zip(NASTY, reversed(NASTY), strict=True)]
    for number, graph in enumerate(graphs):
        (tmp_path / f"{number:02}.mmd").write_text(mermaid.render(graph), encoding="utf-8")
    script = Path(__file__).parents[2] / "graph" / "mermaid_parse.mjs"
    files = sorted(map(str, tmp_path.glob("*.mmd")))
    command = ["node", str(script), *files]
    done = subprocess.run(command, cwd=os.environ["MERMAID_HOME"], capture_output=True, text=True, check=True)
    found = [plain_json.loads(line) for line in done.stdout.splitlines()]
    assert len(found) == len(graphs)
    for made, graph in zip(found, graphs, strict=True):
        names = mermaid.ids(graph)
        boxes = {name: _decoded(text) for name, text in made["nodes"]}
        assert boxes == {names[node.id]: "<br>".join(box_lines(node)) for node in graph.nodes}
        lines = sorted((a, b, _decoded(word)) for a, b, word in made["edges"])
        assert lines == sorted((names[e.source], names[e.target], "<br>".join(line_word(e))) for e in graph.edges)


def _decoded(text: str) -> str:
    """Mermaid keeps '#35;' as a mark of its own until it draws."""
    return re.sub("ﬂ°°(\\d+)¶ß", lambda match: chr(int(match[1])), text).replace("<br/>", "<br>")


@pytest.mark.parametrize("char", ["\u0007", "\u001b", "\u0000", "\u202e", "\u2066", "\u0085", "\u2028", "\ufeff"])
def test_what_can_not_be_seen_is_refused_where_it_stands(char: str) -> None:
    with pytest.raises(InputError) as caught:
        read_text(f"entries:\n  - {{id: x, label: a{char}b}}\n", "book/entries.yaml")
    assert str(caught.value).startswith("book/entries.yaml:2:")
    assert "hint:" in str(caught.value)


def test_a_book_with_nasty_words_is_drawn(tmp_path: Path) -> None:
    shutil.copytree(SMALL, tmp_path / "small")
    file = tmp_path / "small" / "entries.yaml"
    label = '<b>"a\\nb": #1 & 冷却</b>'
    file.write_text(f"entries:\n  - {{id: new, label: '{label}', starts: [{{level: low}}]}}\n", encoding="utf-8")
    assert read_book(tmp_path / "small").entries["new"].label == label


@pytest.mark.parametrize("form", ["png", "pdf"])
def test_a_picture_says_which_character_it_has_not(form: str) -> None:
    with pytest.raises(Refused, match=r"no character '冷' \(U\+51B7\), which stands in one\n    hint: write svg"):
        glyphs.check(graph_of("冷", "x", "y"), form)


def test_the_typeface_has_what_the_trade_writes() -> None:
    for char in "µ°±≤≥½²–—→×ÄÖÜäöüßéñ":
        assert char in glyphs.glyphs()
    assert "✓" not in glyphs.glyphs()
