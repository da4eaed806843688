//! Cells graded toward both faces, with a node without volume on each face.

/// The places of the nodes in a slab of thickness one.
///
/// Node 0 is the top face, node `NODES - 1` the underside; between them lie the cells.
#[derive(Debug, Clone, PartialEq)]
pub struct Grid<const NODES: usize> {
    /// Depth of each node under the top, as a fraction of the thickness.
    pub depth: [f64; NODES],
    /// Share of the thickness that each node holds; zero on the faces.
    pub volume: [f64; NODES],
    /// One over the distance between node `j` and node `j + 1`; the last is unused.
    pub inverse_distance: [f64; NODES],
    /// Depth of the upper face of each cell; the last is the underside.
    pub face: [f64; NODES],
}

/// How strongly cells crowd toward the faces. Source: judgement, from the convergence tests.
pub const GRADING: f64 = 2.5;

impl<const NODES: usize> Grid<NODES> {
    /// Cells that shrink toward both faces with the power [`GRADING`].
    pub fn graded() -> Self {
        Self::from_faces(|share| {
            if share < 0.5 {
                0.5 * libm::pow(2.0 * share, GRADING)
            } else {
                1.0 - 0.5 * libm::pow(2.0 * (1.0 - share), GRADING)
            }
        })
    }

    /// Cells of any grading: `place` maps 0..1 to the depth of the faces, rising from 0 to 1.
    pub fn from_faces(place: impl Fn(f64) -> f64) -> Self {
        let cells = NODES - 2;
        let mut grid = Self {
            depth: [0.0; NODES],
            volume: [0.0; NODES],
            inverse_distance: [0.0; NODES],
            face: [0.0; NODES],
        };
        for cell in 0..cells {
            let upper = place(cell as f64 / cells as f64);
            let lower = place((cell + 1) as f64 / cells as f64);
            grid.depth[cell + 1] = 0.5 * (upper + lower);
            grid.volume[cell + 1] = lower - upper;
            grid.face[cell + 1] = upper;
        }
        grid.depth[NODES - 1] = 1.0;
        grid.face[NODES - 1] = 1.0;
        for node in 0..NODES - 1 {
            grid.inverse_distance[node] = 1.0 / (grid.depth[node + 1] - grid.depth[node]);
        }
        grid
    }

    /// Weights whose sum of products with the nodes is the mean over the top part `share`
    /// (0 to 1) of the slab, taking the profile as straight between nodes.
    pub fn top_mean_weights(&self, share: f64) -> [f64; NODES] {
        let mut weights = [0.0; NODES];
        for node in 0..NODES - 1 {
            let (start, end) = (self.depth[node], self.depth[node + 1]);
            let stop = end.min(share);
            if stop <= start {
                break;
            }
            let middle = 0.5 * (start + stop);
            let toward_lower = (middle - start) / (end - start);
            let part = (stop - start) / share;
            weights[node] += part * (1.0 - toward_lower);
            weights[node + 1] += part * toward_lower;
        }
        weights
    }

    /// Weights whose sum of products with the nodes is the value at a depth (fraction).
    pub fn point_weights(&self, depth: f64) -> [f64; NODES] {
        let mut weights = [0.0; NODES];
        let lower = self
            .depth
            .iter()
            .position(|it| *it >= depth)
            .unwrap_or(NODES - 1)
            .max(1);
        let (start, end) = (self.depth[lower - 1], self.depth[lower]);
        let toward_lower = (depth - start) / (end - start);
        weights[lower - 1] = 1.0 - toward_lower;
        weights[lower] = toward_lower;
        weights
    }
}

#[cfg(test)]
mod tests {
    use super::Grid;

    #[test]
    fn volumes_fill_the_slab_and_means_of_a_line_are_exact() {
        let grid = Grid::<14>::graded();
        assert!((grid.volume.iter().sum::<f64>() - 1.0).abs() < 1e-15);
        for share in [0.1, 0.2, 0.37, 1.0] {
            let weights = grid.top_mean_weights(share);
            let sum: f64 = weights.iter().sum();
            let mean: f64 = weights
                .iter()
                .zip(grid.depth)
                .map(|(weight, depth)| weight * depth)
                .sum();
            assert!((sum - 1.0).abs() < 1e-14);
            // Hand calculation: a line from 0 at the top has the mean share / 2.
            assert!((mean - share / 2.0).abs() < 1e-14, "share {share}: {mean}");
        }
        let at = grid.point_weights(0.4);
        let depth: f64 = at
            .iter()
            .zip(grid.depth)
            .map(|(weight, depth)| weight * depth)
            .sum();
        assert!((depth - 0.4).abs() < 1e-14);
    }
}
