"""The search reads a page as prose, and the finished page is whole."""

from __future__ import annotations

import pytest

from tabtools.website.searched import SearchedWords, prose_of

CASES = {
    "drawings": (
        "<figure><figcaption>bar 5</figcaption><svg><text>13</text></svg></figure><figure>bar 6</figure>",
        "<p>bar 5, bar 6</p>",
    ),
    "facts": (
        "<dl><div><dt>Player</dt><dd>Ida</dd></div><div><dt>Key</dt><dd>A</dd></div></dl>",
        "<p>Player: Ida · Key: A</p>",
    ),
    "lists": ("<ul><li>Ida</li><li>E dorian</li></ul>", "<p>Ida · E dorian</p>"),
    "cells": ("<tr><th><a>Piles</a><br><small>Ida</small></th><td>7/8</td><td></td></tr>", "<p>Piles, Ida, 7/8</p>"),
    "titles": (
        '<h1>All</h1><h2 id="a&amp;b">One <a>two</a></h2>on<section id="c"><h2>C</h2><h3>d</h3></section>',
        '<h2 id="a&amp;b">One two</h2>\n<p>on</p>\n<h2 id="c">C</h2>\n<p>d</p>',
    ),
    "controls": ("<form><label>Key <select><option>A</select></form><p>x<button>y</button></p>", "<p>x</p>"),
    "left out": (
        "<div data-search-exclude>1<div>2</div>3</div><p>bars 1–4 , as &lt;b&gt;</p>",
        "<p>bars 1–4, as &lt;b&gt;</p>",
    ),
}


@pytest.mark.parametrize("name", CASES)
def test_a_page_is_read_as_prose(name: str) -> None:
    page, read = CASES[name]
    assert prose_of(page) == read


def test_a_page_is_whole_again() -> None:
    searched = SearchedWords()
    assert searched.prose("<p>a<svg>1</svg></p>") == "<p>a</p>"
    assert searched.whole() == "<p>a<svg>1</svg></p>"
