//! The houses of the comparison: one description for the solver's grid, the rays and the plan.

use super::slab::Layer;

/// Free air round the house, m (the absorbing layer comes on top). An odd number, so that no ray
/// between two nodes runs exactly through a jamb or the end of a wall.
const GARDEN_M: f64 = 1.3037;

/// What a wall or a leaf is built of.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Build {
    /// Half-brick wall, 102.5 mm.
    Brick,
    /// Two plasterboards, 12.5 mm each, 75 mm of air between.
    Stud,
    /// Glass pane, 6 mm.
    Glass,
    /// Wooden leaf, 40 mm.
    Leaf,
    /// Nothing: an open doorway.
    Open,
}

/// (material of ITU-R P.2040 or `None` for air, thickness in mm).
type Sheet = (Option<&'static str>, f64);

impl Build {
    /// All that have layers.
    pub const SOLID: [Self; 4] = [Self::Brick, Self::Stud, Self::Glass, Self::Leaf];

    /// Name in the plan.
    pub fn name(self) -> &'static str {
        match self {
            Self::Brick => "bare half brick",
            Self::Stud => "bare stud",
            Self::Glass => "bare pane",
            Self::Leaf => "bare leaf",
            Self::Open => "open",
        }
    }

    /// Layers from face to face.
    pub fn sheets(self) -> &'static [Sheet] {
        match self {
            Self::Brick => &[(Some("brick"), 102.5)],
            Self::Stud => {
                &[(Some("plasterboard"), 12.5), (None, 75.0), (Some("plasterboard"), 12.5)]
            }
            Self::Glass => &[(Some("glass"), 6.0)],
            Self::Leaf => &[(Some("wood"), 40.0)],
            Self::Open => &[],
        }
    }

    /// Layers with their electrical values.
    pub fn layers(self, frequency_hz: f64) -> Vec<Layer> {
        self.sheets()
            .iter()
            .map(|&(material, thickness_mm)| {
                let (permittivity, conductivity) =
                    material.map_or((1.0, 0.0), |m| electrical(m, frequency_hz));
                Layer { permittivity, conductivity, thickness_m: thickness_mm / 1e3 }
            })
            .collect()
    }
}

/// Relative permittivity and conductivity (S/m): ITU-R P.2040 Table 3, ε = a, σ = c·f^d with f in
/// GHz (rows seen in a secondary source, the Recommendation itself not opened; brick and
/// plasterboard are extrapolated below the table's 1 GHz).
pub fn electrical(material: &str, frequency_hz: f64) -> (f64, f64) {
    let (a, c, d) = match material {
        "brick" => (3.91, 0.0238, 0.16),
        "plasterboard" => (2.73, 0.0085, 0.9395),
        "wood" => (1.99, 0.0047, 1.0718),
        "glass" => (6.31, 0.0036, 1.3394),
        other => panic!("no such material in this house: {other}"),
    };
    (a, c * (frequency_hz / 1e9f64).powf(d))
}

/// A doorway or window in a wall.
#[derive(Clone)]
pub struct Opening {
    /// From, m along the wall.
    pub from: f64,
    /// To, m along the wall.
    pub to: f64,
    /// What fills it.
    pub build: Build,
}

/// A straight wall, along x or along y.
#[derive(Clone)]
pub struct Wall {
    /// One end of the centre line, m.
    pub a: [f64; 2],
    /// The other end.
    pub b: [f64; 2],
    /// What it is built of.
    pub build: Build,
    /// Its openings, in order.
    pub openings: Vec<Opening>,
}

impl Wall {
    fn new(a: [f64; 2], b: [f64; 2], build: Build, openings: &[(f64, f64, Build)]) -> Self {
        let openings =
            openings.iter().map(|&(from, to, build)| Opening { from, to, build }).collect();
        Self { a, b, build, openings }
    }

    /// Length of the centre line, m.
    pub fn length(&self) -> f64 {
        (self.b[0] - self.a[0]).hypot(self.b[1] - self.a[1])
    }

    /// Where the line through `p` and `q` meets the wall's line, if the two lie on either side of
    /// it: m along the wall (perhaps beyond its ends), and the cosine of the incidence angle.
    pub fn hit(&self, p: [f64; 2], q: [f64; 2]) -> Option<(f64, f64)> {
        let (from_p, from_q) = (self.offset(p), self.offset(q));
        if from_p * from_q >= 0.0 {
            return None;
        }
        let share = from_p / (from_p - from_q);
        let along = |k: usize| p[k] + share * (q[k] - p[k]) - self.a[k];
        let cosine = (from_p - from_q).abs() / (q[0] - p[0]).hypot(q[1] - p[1]);
        Some((along(0) * self.unit(0) + along(1) * self.unit(1), cosine.min(1.0)))
    }

    /// Mirror image of a point in the wall's line.
    pub fn mirror(&self, p: [f64; 2]) -> [f64; 2] {
        let twice = 2.0 * self.offset(p);
        [p[0] + twice * self.unit(1), p[1] - twice * self.unit(0)]
    }

    /// The point so far along the wall.
    pub fn point(&self, along: f64) -> [f64; 2] {
        [0, 1].map(|k| self.a[k] + along * self.unit(k))
    }

    /// What the wall is built of at a place along it, `None` beyond its ends.
    pub fn build_at(&self, along: f64) -> Option<Build> {
        self.pieces()
            .iter()
            .find(|(from, to, _)| along >= *from && along <= *to)
            .map(|piece| piece.2)
    }

    fn unit(&self, k: usize) -> f64 {
        (self.b[k] - self.a[k]) / self.length()
    }

    /// Distance of a point from the wall's line, positive on its left.
    fn offset(&self, p: [f64; 2]) -> f64 {
        self.unit(0) * (p[1] - self.a[1]) - self.unit(1) * (p[0] - self.a[0])
    }

    /// The wall cut into pieces of one build each: from, to (m along the wall), build.
    pub fn pieces(&self) -> Vec<(f64, f64, Build)> {
        let mut pieces = Vec::new();
        let mut at = 0.0;
        for opening in &self.openings {
            if opening.from > at {
                pieces.push((at, opening.from, self.build));
            }
            pieces.push((opening.from, opening.to, opening.build));
            at = opening.to;
        }
        if at < self.length() {
            pieces.push((at, self.length(), self.build));
        }
        pieces
    }
}

/// A house and the ground that is simulated with it.
pub struct House {
    /// Its walls.
    pub walls: Vec<Wall>,
    /// Lower left corner of the area simulated, m.
    pub origin: [f64; 2],
    /// Its size, m.
    pub size: [f64; 2],
}

impl House {
    /// Brick outside and as a spine, stud partitions, windows, doors open and closed, three
    /// partitions that end free in a room. 9 × 7 m.
    pub fn partitioned() -> Self {
        use Build::{Brick, Glass, Leaf, Open, Stud};
        let walls = vec![
            Wall::new(
                [0.0, 0.0],
                [9.0, 0.0],
                Brick,
                &[(0.9, 2.4, Glass), (3.9, 4.8, Leaf), (6.1, 7.9, Glass)],
            ),
            Wall::new([9.0, 0.0], [9.0, 7.0], Brick, &[(1.5, 2.7, Glass), (4.9, 5.8, Leaf)]),
            Wall::new(
                [0.0, 7.0],
                [9.0, 7.0],
                Brick,
                &[(1.0, 2.2, Glass), (4.1, 4.7, Glass), (7.3, 8.5, Glass)],
            ),
            Wall::new([0.0, 0.0], [0.0, 7.0], Brick, &[(1.2, 2.8, Glass)]),
            Wall::new(
                [0.0, 4.0],
                [9.0, 4.0],
                Brick,
                &[(1.9, 2.7, Open), (4.6, 5.4, Open), (7.2, 8.0, Leaf)],
            ),
            Wall::new([3.4, 0.0], [3.4, 4.0], Stud, &[(2.6, 3.4, Open)]),
            Wall::new([5.6, 0.0], [5.6, 4.0], Stud, &[(2.5, 3.3, Leaf)]),
            Wall::new([3.2, 4.0], [3.2, 7.0], Stud, &[(0.4, 1.2, Leaf)]),
            Wall::new([4.4, 4.0], [4.4, 7.0], Stud, &[]),
            Wall::new([6.5, 4.0], [6.5, 7.0], Stud, &[(0.3, 1.1, Open)]),
            Wall::new([3.4, 2.1], [4.4, 2.1], Stud, &[]),
            Wall::new([7.4, 0.0], [7.4, 1.7], Brick, &[]),
            Wall::new([1.6, 5.4], [3.2, 5.4], Stud, &[]),
        ];
        Self::on_its_ground(walls)
    }

    /// Nearly every inner wall of half brick: the hardest case for any ray model. 9 × 7 m.
    pub fn masonry() -> Self {
        use Build::{Brick, Glass, Leaf, Open, Stud};
        let walls = vec![
            Wall::new(
                [0.0, 0.0],
                [9.0, 0.0],
                Brick,
                &[(0.5, 1.7, Glass), (4.2, 5.1, Leaf), (7.0, 8.2, Glass)],
            ),
            Wall::new([9.0, 0.0], [9.0, 7.0], Brick, &[(0.8, 2.2, Glass), (4.0, 6.0, Glass)]),
            Wall::new([0.0, 7.0], [9.0, 7.0], Brick, &[(0.8, 2.8, Glass), (5.5, 6.4, Leaf)]),
            Wall::new([0.0, 0.0], [0.0, 7.0], Brick, &[(4.8, 6.2, Glass)]),
            Wall::new([3.0, 0.0], [3.0, 7.0], Brick, &[(2.1, 3.0, Open), (5.0, 5.9, Leaf)]),
            Wall::new([6.1, 0.0], [6.1, 7.0], Brick, &[(0.6, 1.5, Leaf), (3.2, 4.1, Open)]),
            Wall::new([0.0, 3.4], [3.0, 3.4], Stud, &[]),
            Wall::new([3.0, 4.4], [6.1, 4.4], Brick, &[(1.2, 2.0, Open)]),
            Wall::new([6.1, 2.6], [9.0, 2.6], Brick, &[(0.4, 1.3, Open)]),
            Wall::new([4.5, 0.0], [4.5, 2.9], Brick, &[]),
            Wall::new([7.7, 4.9], [7.7, 7.0], Stud, &[]),
            Wall::new([0.0, 1.6], [1.4, 1.6], Brick, &[]),
        ];
        Self::on_its_ground(walls)
    }

    /// Where the transmitters stand: five in the house (at least 0.4 m from every wall), one in
    /// the garden.
    pub const TRANSMITTERS: [[f64; 2]; 6] =
        [[4.1, 1.3], [8.3, 6.3], [0.8, 0.7], [5.0, 3.4], [2.3, 6.2], [10.0, 2.1]];

    fn on_its_ground(walls: Vec<Wall>) -> Self {
        Self {
            walls,
            origin: [-GARDEN_M, -GARDEN_M],
            size: [9.0 + 2.0 * GARDEN_M, 7.0 + 2.0 * GARDEN_M],
        }
    }

    /// Whether the straight line between two points meets no wall, not even an open doorway.
    pub fn same_room(&self, p: [f64; 2], q: [f64; 2]) -> bool {
        self.walls
            .iter()
            .all(|w| w.hit(p, q).is_none_or(|(along, _)| along < 0.0 || along > w.length()))
    }

    /// Walls between two points: how many (open doorways are none), and the largest incidence
    /// angle at which one is crossed, in degrees.
    pub fn walls_between(&self, p: [f64; 2], q: [f64; 2]) -> (usize, f64) {
        let crossed = self.walls.iter().filter_map(|wall| {
            let (along, cosine) = wall.hit(p, q)?;
            (wall.build_at(along)? != Build::Open).then(|| cosine.acos().to_degrees())
        });
        crossed.fold((0, 0.0), |(n, steepest), incidence| (n + 1, incidence.max(steepest)))
    }

    /// Distance of a point to the nearest wall's centre line, m.
    pub fn clearance(&self, p: [f64; 2]) -> f64 {
        let walls = self.walls.iter().map(|w| {
            let (lo, hi) = (
                [w.a[0].min(w.b[0]), w.a[1].min(w.b[1])],
                [w.a[0].max(w.b[0]), w.a[1].max(w.b[1])],
            );
            gap(p, lo, hi)
        });
        walls.fold(f64::INFINITY, f64::min)
    }
}

/// Distance from a point to an upright rectangle.
fn gap(p: [f64; 2], lo: [f64; 2], hi: [f64; 2]) -> f64 {
    let d = [0, 1].map(|k| (lo[k] - p[k]).max(p[k] - hi[k]).max(0.0));
    d[0].hypot(d[1])
}
