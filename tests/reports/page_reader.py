"""What a browser would find in a page of a report."""

from __future__ import annotations

from html.parser import HTMLParser


class PageReader(HTMLParser):
    """Elements, attributes and texts of a page, in order; fails where an element is left open."""

    def __init__(self, source: str) -> None:
        super().__init__()
        self.tags: list[str] = []
        self.attributes: list[tuple[str, str | None]] = []
        self.texts: list[str] = []
        self._open: list[str] = []
        self.feed(source)
        self.close()
        assert not self._open

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.handle_startendtag(tag, attrs)
        if tag not in {"meta", "br"}:
            self._open.append(tag)

    def handle_startendtag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.tags.append(tag)
        self.attributes += attrs

    def handle_endtag(self, tag: str) -> None:
        assert self._open.pop() == tag

    def handle_data(self, data: str) -> None:
        if self._open[-1:] != ["style"]:
            self.texts.append(data)


def stands_alone(source: str) -> bool:
    """Whether a page needs nothing but itself, and says so."""
    read = PageReader(source)
    return (
        not {"script", "link", "img", "iframe", "a", "form", "object"} & set(read.tags)
        and not [name for name, _ in read.attributes if name in ("src", "href", "style")]
        and ("content", "default-src 'none'; style-src 'unsafe-inline'") in read.attributes
        and "http" not in source.replace("http-equiv", "")
    )
