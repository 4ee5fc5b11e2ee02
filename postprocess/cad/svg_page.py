"""A layout of a DXF document as one SVG in mm of paper, drawn by the CAD library; text stays text."""

from __future__ import annotations

from collections.abc import Iterable
from html import escape

from ezdxf.addons.drawing.backend import Backend, BkPath2d, BkPoints2d, ImageData
from ezdxf.addons.drawing.config import BackgroundPolicy, Configuration
from ezdxf.addons.drawing.frontend import UniversalFrontend
from ezdxf.addons.drawing.pipeline import RenderPipeline2d
from ezdxf.addons.drawing.properties import BackendProperties, Properties, RenderContext
from ezdxf.document import Drawing
from ezdxf.entities.dxfgfx import DXFGraphic
from ezdxf.entities.text import Text
from ezdxf.layouts.layout import Paperspace
from ezdxf.math import Matrix44, Vec2
from ezdxf.path.commands import Curve3To, Curve4To, MoveTo

from postprocess.cad.plain_text import restored

CAP_HEIGHT = 1493 / 2048
"""Height of capitals over the size of the font, DejaVu Sans."""
THINNEST = 0.09
"""Width of a line without a width of its own, mm."""


class _SvgBackend(Backend):
    """Collects SVG elements; y of the paper is upward, that of SVG downward from the top of the sheet."""

    def __init__(self, height: float) -> None:
        super().__init__()
        self.height = height
        self.elements: list[str] = []

    def text(self, words: str, matrix: Matrix44, cap_height: float, color: str) -> None:
        """One line of text; matrix: from the start of its base line to the paper."""
        a, b, _, c, d, *_ = matrix.get_2d_transformation()
        x, y, _ = matrix.transform((0, 0, 0))
        turned = " ".join(f"{value:.6g}" for value in (a, -b, -c, d))
        placed = f"matrix({turned} {x:.4f} {self.height - y:.4f})"
        size = f"{cap_height / CAP_HEIGHT:.5g}"
        self.elements.append(f'<text transform="{placed}" font-size="{size}" fill="{color[:7]}">{escape(words)}</text>')

    def set_background(self, color: str) -> None:
        """Paper has none."""

    def draw_point(self, pos: Vec2, properties: BackendProperties) -> None:
        self.draw_line(pos, pos, properties)

    def draw_line(self, start: Vec2, end: Vec2, properties: BackendProperties) -> None:
        self._stroke(f"M{self._at(start)}L{self._at(end)}", properties)

    def draw_solid_lines(self, lines: Iterable[tuple[Vec2, Vec2]], properties: BackendProperties) -> None:
        self._stroke("".join(f"M{self._at(start)}L{self._at(end)}" for start, end in lines), properties)

    def draw_path(self, path: BkPath2d, properties: BackendProperties) -> None:
        self._stroke(self._way(path), properties)

    def draw_filled_paths(self, paths: Iterable[BkPath2d], properties: BackendProperties) -> None:
        self._fill("".join(f"{self._way(path)}Z" for path in paths), properties)

    def draw_filled_polygon(self, points: BkPoints2d, properties: BackendProperties) -> None:
        self._fill("M" + "L".join(self._at(point) for point in points.vertices()) + "Z", properties)

    def draw_image(self, image_data: ImageData, properties: BackendProperties) -> None:
        """There are none."""

    def clear(self) -> None:
        self.elements.clear()

    def _at(self, point: Vec2) -> str:
        return f"{point.x:.4f} {self.height - point.y:.4f}"

    def _way(self, path: BkPath2d) -> str:
        if not len(path):
            return ""
        words = [f"M{self._at(path.start)}"]
        for command in path.commands():
            if isinstance(command, Curve4To):
                points = (command.ctrl1, command.ctrl2, command.end)
                words.append("C" + " ".join(self._at(Vec2(point)) for point in points))
            elif isinstance(command, Curve3To):
                words.append(f"Q{self._at(Vec2(command.ctrl))} {self._at(Vec2(command.end))}")
            else:
                words.append(f"{'M' if isinstance(command, MoveTo) else 'L'}{self._at(Vec2(command.end))}")
        return "".join(words)

    def _stroke(self, way: str, properties: BackendProperties) -> None:
        width = max(properties.lineweight, THINNEST)
        self.elements.append(
            f'<path d="{way}" stroke="{properties.color[:7]}" stroke-width="{width:.3g}" fill="none"/>'
        )

    def _fill(self, way: str, properties: BackendProperties) -> None:
        self.elements.append(f'<path d="{way}" fill="{properties.color[:7]}" fill-rule="evenodd"/>')


class _TextPipeline(RenderPipeline2d):
    """As the library draws, but with text as text and line types in mm of paper."""

    def __init__(self, backend: _SvgBackend) -> None:
        super().__init__(backend)
        self.page = backend

    def get_vp_ltype_scale(self) -> float:
        return 1.0

    def draw_text(
        self,
        text: str,
        transform: Matrix44,
        properties: Properties,
        cap_height: float,
        dxftype: str = "TEXT",
    ) -> None:
        entity = self.page.current_entity
        if isinstance(entity, Text):  # whose escapes are ours; the library would lose a caret at the end
            text = restored(entity.dxf.text)
        if text.strip():
            matrix = self.clipping_portal.transform_matrix(transform)
            self.page.text(text, matrix, cap_height, self.get_backend_properties(properties).color)


class _Frontend(UniversalFrontend):
    """Layers that are frozen in a viewport are so within blocks too."""

    def draw_entities_callback(self, ctx: RenderContext, entities: Iterable[DXFGraphic]) -> None:
        outside, self.ctx = self.ctx, ctx
        try:
            super().draw_entities_callback(ctx, entities)
        finally:
            self.ctx = outside


def svg_page(document: Drawing, layout: Paperspace, size: tuple[float, float]) -> str:
    """The sheet `layout` as one SVG of `size` (width, height) in mm."""
    width, height = size
    backend = _SvgBackend(height)
    config = Configuration(background_policy=BackgroundPolicy.WHITE)
    _Frontend(RenderContext(document), _TextPipeline(backend), config).draw_layout(layout)
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" width="{width:g}mm" height="{height:g}mm" '
        f'viewBox="0 0 {width:g} {height:g}" font-family="DejaVu Sans" stroke-linecap="round" '
        f'stroke-linejoin="round" xml:space="preserve">\n' + "\n".join(backend.elements) + "\n</svg>\n"
    )
