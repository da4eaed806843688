//! Drawings as text: a few shapes of SVG, without scripts, styles of their own or identifiers,
//! so that a drawing can stand anywhere on a page. Colors are in `paper.css`.

use super::paper::escaped;
use std::fmt::Write;

/// A drawing that grows shape by shape; its lengths are in units of its own.
pub(super) struct Svg {
    width: f64,
    height: f64,
    shapes: String,
}

/// Which end of a text stands at its place.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Anchor {
    Start,
    Middle,
    End,
}

impl Anchor {
    fn word(self) -> &'static str {
        match self {
            Anchor::Start => "start",
            Anchor::Middle => "middle",
            Anchor::End => "end",
        }
    }
}

impl Svg {
    pub(super) fn new(width: f64, height: f64) -> Self {
        Self {
            width,
            height,
            shapes: String::new(),
        }
    }

    /// The finished drawing. `alternative` says what it shows to whoever cannot see it.
    pub(super) fn done(self, title: &str, alternative: &str) -> String {
        format!(
            "<svg role=\"img\" viewBox=\"0 0 {} {}\" aria-label=\"{}\">\n<title>{}</title>\n{}</svg>",
            self.width,
            self.height,
            escaped(&format!("{title}. {alternative}")),
            escaped(title),
            self.shapes
        )
    }

    /// The finished drawing where the words beside it say the same.
    pub(super) fn hidden(self) -> String {
        format!(
            "<svg class=\"hundred\" aria-hidden=\"true\" viewBox=\"0 0 {} {}\">\n{}</svg>",
            self.width, self.height, self.shapes
        )
    }

    fn push(&mut self, shape: &str) {
        self.shapes.push_str(shape);
        self.shapes.push('\n');
    }

    pub(super) fn line(&mut self, class: &str, from: (f64, f64), to: (f64, f64)) {
        self.push(&format!(
            "<line class=\"{class}\" x1=\"{:.1}\" y1=\"{:.1}\" x2=\"{:.1}\" y2=\"{:.1}\"/>",
            from.0, from.1, to.0, to.1
        ));
    }

    pub(super) fn rect(&mut self, class: &str, at: (f64, f64), size: (f64, f64)) {
        self.push(&format!(
            "<rect class=\"{class}\" x=\"{:.1}\" y=\"{:.1}\" width=\"{:.1}\" height=\"{:.1}\"/>",
            at.0, at.1, size.0, size.1
        ));
    }

    pub(super) fn circle(&mut self, class: &str, at: (f64, f64), radius: f64) {
        self.push(&format!(
            "<circle class=\"{class}\" cx=\"{:.1}\" cy=\"{:.1}\" r=\"{radius:.1}\"/>",
            at.0, at.1
        ));
    }

    pub(super) fn polyline(&mut self, class: &str, points: &[(f64, f64)]) {
        let points = joined(points);
        self.push(&format!(
            "<polyline class=\"{class}\" points=\"{points}\"/>"
        ));
    }

    pub(super) fn polygon(&mut self, class: &str, points: &[(f64, f64)]) {
        let points = joined(points);
        self.push(&format!("<polygon class=\"{class}\" points=\"{points}\"/>"));
    }

    pub(super) fn text(&mut self, class: &str, at: (f64, f64), anchor: Anchor, text: &str) {
        self.push(&format!(
            "<text class=\"{class}\" x=\"{:.1}\" y=\"{:.1}\" text-anchor=\"{}\">{}</text>",
            at.0,
            at.1,
            anchor.word(),
            escaped(text)
        ));
    }

    /// A diamond about a point.
    pub(super) fn diamond(&mut self, class: &str, (x, y): (f64, f64), half: f64) {
        self.polygon(
            class,
            &[(x, y - half), (x + half, y), (x, y + half), (x - half, y)],
        );
    }

    /// A band between a lower and an upper course, edged so that it shows without color.
    pub(super) fn band(&mut self, lower: &[(f64, f64)], upper: &[(f64, f64)]) {
        let mut around = upper.to_vec();
        around.extend(lower.iter().rev());
        self.polygon("band", &around);
    }
}

fn joined(points: &[(f64, f64)]) -> String {
    let mut out = String::new();
    for (at, (x, y)) in points.iter().enumerate() {
        let gap = if at == 0 { "" } else { " " };
        let _ = write!(out, "{gap}{x:.1},{y:.1}");
    }
    out
}
