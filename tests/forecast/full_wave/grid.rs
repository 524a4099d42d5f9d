//! A house on the solver's grid.

use super::house::{Build, House, Wall};
use super::solver::{ABSORBER_CELLS, Medium};

/// Nodes between the area's edge and the grid's edge.
const PAD: usize = ABSORBER_CELLS + 4;

impl House {
    /// Node of the grid next to a point.
    pub fn node(&self, p: [f64; 2], cell_m: f64) -> usize {
        let [i, j] = [0, 1].map(|k| ((p[k] - self.origin[k]) / cell_m).round() as usize + PAD);
        j * self.nodes(cell_m)[0] + i
    }

    /// The place of the grid's node next to a point.
    pub fn on_node(&self, p: [f64; 2], cell_m: f64) -> [f64; 2] {
        [0, 1].map(|k| self.origin[k] + ((p[k] - self.origin[k]) / cell_m).round() * cell_m)
    }

    /// Nodes of the grid along x and y.
    fn nodes(&self, cell_m: f64) -> [usize; 2] {
        self.size.map(|s| (s / cell_m).round() as usize + 1 + 2 * PAD)
    }

    /// The house on a grid. Each node takes the exact area mean over its cell.
    pub fn medium(&self, cell_m: f64, frequency_hz: f64) -> Medium {
        let [nx, ny] = self.nodes(cell_m);
        let mut medium = Medium::vacuum(nx, ny, cell_m);
        let sheets = self.rectangles(frequency_hz);
        let mut near: Vec<Vec<usize>> = vec![Vec::new(); nx * ny];
        let index = |x: f64, k: usize| (x - self.origin[k]) / cell_m + PAD as f64;
        for (n, (r, ..)) in sheets.iter().enumerate() {
            for j in index(r[1], 1).round() as usize..=index(r[3], 1).round() as usize {
                for i in index(r[0], 0).round() as usize..=index(r[2], 0).round() as usize {
                    near[j * nx + i].push(n);
                }
            }
        }
        for (node, candidates) in near.iter().enumerate().filter(|(_, c)| !c.is_empty()) {
            let centre = [node % nx, node / nx].map(|i| i as f64 - PAD as f64);
            let low = [0, 1].map(|k| (centre[k] - 0.5) * cell_m + self.origin[k]);
            let cuts = [0, 1].map(|k| {
                let mut cuts = vec![low[k], low[k] + cell_m];
                for &n in candidates {
                    cuts.extend([sheets[n].0[k], sheets[n].0[k + 2]]);
                }
                cuts.retain(|&c| c >= low[k] && c <= low[k] + cell_m);
                cuts.sort_by(f64::total_cmp);
                cuts
            });
            let (mut permittivity, mut conductivity) = (0.0, 0.0);
            for y in cuts[1].windows(2) {
                for x in cuts[0].windows(2) {
                    let middle = [0.5 * (x[0] + x[1]), 0.5 * (y[0] + y[1])];
                    let share = (x[1] - x[0]) * (y[1] - y[0]) / (cell_m * cell_m);
                    // Where two overlap (a junction), the later one in the list stands.
                    let found = candidates.iter().rev().map(|&n| sheets[n]).find(|(r, ..)| {
                        middle[0] > r[0] && middle[0] < r[2] && middle[1] > r[1] && middle[1] < r[3]
                    });
                    let (e, s) = found.map_or((1.0, 0.0), |(_, e, s)| (e, s));
                    permittivity += share * e;
                    conductivity += share * s;
                }
            }
            medium.permittivity[node] = permittivity;
            medium.conductivity[node] = conductivity;
        }
        medium
    }

    /// Every sheet of material as a rectangle (x0, y0, x1, y1) with ε and σ; partitions first, so
    /// that masonry stands where they meet.
    fn rectangles(&self, frequency_hz: f64) -> Vec<([f64; 4], f64, f64)> {
        let mut out = Vec::new();
        let (stud, masonry): (Vec<&Wall>, Vec<&Wall>) =
            self.walls.iter().partition(|w| w.build == Build::Stud);
        for wall in stud.into_iter().chain(masonry) {
            let along_x = wall.a[1] == wall.b[1];
            for (from, to, build) in wall.pieces() {
                let layers = build.layers(frequency_hz);
                let mut across = -0.5 * layers.iter().map(|l| l.thickness_m).sum::<f64>();
                for layer in layers {
                    let (s0, s1, t0, t1) = (from, to, across, across + layer.thickness_m);
                    across = t1;
                    let rectangle = if along_x {
                        [wall.a[0] + s0, wall.a[1] + t0, wall.a[0] + s1, wall.a[1] + t1]
                    } else {
                        [wall.a[0] + t0, wall.a[1] + s0, wall.a[0] + t1, wall.a[1] + s1]
                    };
                    out.push((rectangle, layer.permittivity, layer.conductivity));
                }
            }
        }
        out
    }
}
