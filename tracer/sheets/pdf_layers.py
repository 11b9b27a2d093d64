"""Layers of a PDF: optional content groups (ISO 32000-1, 8.11), which reportlab lacks; and packed pages."""

from typing import Any


class Layers:
    """The layers of one document, written through reportlab's own objects.

    They are listed in the order of their first use, all shown and all printed.
    """

    def __init__(self, canvas: Any) -> None:
        self._canvas = canvas
        self._groups: dict[str, Any] = {}

    def begin(self, name: str) -> None:
        """Open a layer in the content of the current page."""
        if name not in self._groups:
            self._groups[name] = self._group(name)
        self._canvas._code.append(f"/OC /{self._tag(name)} BDC")

    def end(self) -> None:
        """Close the layer opened last."""
        self._canvas._code.append("EMC")

    def finish(self) -> None:
        """Tell the document of its layers, once all pages are shown and before it is saved."""
        for page in self._canvas._doc.Pages.pages:
            self._pack(page)
        if self._groups:
            self._list()

    def _group(self, name: str) -> Any:
        """Return a reference to a new layer."""
        from reportlab.pdfbase.pdfdoc import PDFDictionary, PDFName, PDFString

        group = PDFDictionary({"Type": PDFName("OCG"), "Name": PDFString(name)})
        return self._canvas._doc.Reference(group, f"layer{len(self._groups)}")

    def _tag(self, name: str) -> str:
        return f"L{list(self._groups).index(name)}"

    def _list(self) -> None:
        """Name the layers in the document's catalogue."""
        from reportlab.pdfbase.pdfdoc import PDFArray, PDFDictionary

        groups, catalogue = list(self._groups.values()), self._canvas._doc.Catalog
        shown = PDFDictionary({"Order": PDFArray(groups), "ON": PDFArray(groups)})
        catalogue.OCProperties = PDFDictionary({"OCGs": PDFArray(groups), "D": shown})
        catalogue.__NoDefault__ = [*catalogue.__NoDefault__, "OCProperties"]

    def _pack(self, page: Any) -> None:
        """Give a page its resources, the layers among them, and its content as bytes.

        reportlab would write it in ASCII, a quarter larger and slower.
        """
        from reportlab.pdfbase.pdfdoc import PDFResourceDictionary, PDFStream, PDFZCompress

        resources = PDFResourceDictionary()
        resources.basicFonts()
        resources.Properties = {self._tag(name): group for name, group in self._groups.items()}
        if page.XObjects:
            resources.XObject = page.XObjects
        page.Resources = resources
        content = PDFStream()
        content.filters, content.content = [PDFZCompress], page.stream
        page.Contents = content
