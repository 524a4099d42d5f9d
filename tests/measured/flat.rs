//! The furnished flat at 2.4 GHz.

use std::io::Write;
use std::path::Path;

use drillonce::forecast::{Edges, Model, Site, Walls};
use drillonce::plan::{Aerial, Plan};
use drillonce::radio::{construction, free_space_loss};
use drillonce::units::Metres;
use geo::{Coord, LineString};

use super::Diagnostic;
use super::files::{Anchor, Cell, Corner, rows};
use super::fit::{Forecast, Levels, Score, mean, ones, score};
use super::layout::{THICKEST_M, centre_lines};
use super::readings::{self, Measured, Survey, sigma_of};
use super::scene::{LINK, Spot, frequency, gain, listener, slopes, storey, walls_between};

/// What the walls may be, the first being the choice made before any result was seen: plastered
/// half-brick is 0.13 m thick, as the flat's walls are (0.10 to 0.19 m).
const CONSTRUCTIONS: [&str; 3] = ["brick-half", "block-dense", "stud-partition"];

/// Floor and ceiling of a flat in a block (a choice; the data do not tell).
const FLOORS: &str = "floor-concrete";

/// Height of the ceiling, metres (a choice; the highest receiver hangs at 2.62 m).
const CEILING_M: f64 = 2.7;

/// Height of the transmitter, metres (from the data set).
const TRANSMITTER_M: f64 = 1.3;

/// How many walls lie between: the groups of a table.
const WALL_COUNTS: [f64; 4] = [0.0, 1.0, 2.0, 3.0];

struct Flat {
    anchors: Vec<Anchor>,
    cells: Vec<Cell>,
    levels: Levels,
    free_space: Vec<f64>,
    /// How the receivers' aerials are taken to stand; the data do not tell.
    aerial: Option<Aerial>,
}

/// Prints the tables of the flat.
pub fn compare(folder: &Path, out: &mut impl Write) -> Result<(), Diagnostic> {
    let corners: Vec<Corner> = rows(&folder.join("layout.csv"))?;
    let outline: Vec<Coord<f64>> = corners.iter().map(|c| Coord { x: c.x, y: c.y }).collect();
    let flat = Flat::read(folder)?;
    writeln!(
        out,
        "## Flat, 2.4 GHz: {} cells, {} receivers\n",
        flat.cells.len(),
        flat.receivers()
    )?;
    flat.laws(out)?;
    writeln!(
        out,
        "| walls of | loss | edges | reflections \
         | offset: in sample | left out (receiver by receiver) \
         | offset and scale: scale | in sample | left out \
         | offset and exponent: change | in sample | left out |\n|{}",
        " --- |".repeat(12)
    )?;
    for name in CONSTRUCTIONS {
        flat.models(&plan(&outline, name)?, name, out)?;
    }
    writeln!(out)?;
    flat.walls_and_distances(out)?;
    for name in CONSTRUCTIONS {
        flat.by_walls(&plan(&outline, name)?, name, out)?;
    }
    writeln!(out)?;
    flat.clear_law(out)?;
    flat.same_walls(&plan(&outline, CONSTRUCTIONS[0])?, out)?;
    for name in CONSTRUCTIONS {
        for reflections in [1, 2] {
            flat.with_readings(&plan(&outline, name)?, (name, reflections), out)?;
        }
    }
    let upright = Flat { aerial: Some(Aerial::Upright), ..flat };
    for name in CONSTRUCTIONS {
        let plan = plan(&outline, name)?;
        let score = upright
            .score(&upright.predicted(&plan, model(Walls::Typical, Edges::Soft, 1))?, vec![])?;
        writeln!(
            out,
            "Receivers with upright aerials, walls of {name}: {:.2} in sample, {:.2} ({}) left out.\n",
            score.in_sample,
            score.left_out,
            list(&score.receivers)
        )?;
        upright.with_readings(&plan, (name, 1), out)?;
    }
    Ok(())
}

/// The flat with walls of one construction.
fn plan(outline: &[Coord<f64>], name: &str) -> Result<Plan, Diagnostic> {
    let built = construction(name).ok_or("no such construction")?;
    let lines = centre_lines(outline, built.thickness().0 / 2.0)
        .into_iter()
        .map(|line| LineString(vec![line.start, line.end]))
        .collect();
    Ok(storey(lines, name, Some(FLOORS), CEILING_M))
}

impl Flat {
    fn read(folder: &Path) -> Result<Self, Diagnostic> {
        let cells: Vec<Cell> = rows(&folder.join("cell_means.csv"))?;
        let frequency = frequency()?;
        Ok(Self {
            anchors: rows(&folder.join("anchors.csv"))?,
            levels: Levels {
                receiver: cells.iter().map(|cell| cell.a.to_string()).collect(),
                level: cells.iter().map(|cell| cell.rssi).collect(),
            },
            free_space: cells
                .iter()
                .map(|cell| -free_space_loss(Metres(cell.d), frequency).0)
                .collect(),
            cells,
            aerial: None,
        })
    }

    /// Receivers that the cells name; more may be listed.
    fn receivers(&self) -> usize {
        self.anchors
            .iter()
            .filter(|anchor| self.cells.iter().any(|cell| cell.a == anchor.id))
            .count()
    }

    fn column(&self, of: impl Fn(&Cell) -> f64) -> Vec<f64> {
        self.cells.iter().map(of).collect()
    }

    /// Laws without a plan, or with no more of it than the number of walls.
    fn laws(&self, out: &mut impl Write) -> Result<(), Diagnostic> {
        let count = self.cells.len();
        let distance = self.distance();
        let walls = self.column(|cell| -cell.w);
        let nothing = vec![0.0; count];
        let free = &self.free_space;
        let laws = [
            ("free space", "offset", free, vec![]),
            ("free space and a loss per wall", "offset, loss", free, vec![&walls]),
            ("log-distance", "offset, exponent", &nothing, vec![&distance]),
            (
                "log-distance and a loss per wall",
                "offset, exponent, loss",
                &nothing,
                vec![&distance, &walls],
            ),
        ];
        writeln!(
            out,
            "| law | fitted | values | in sample | left out | receiver by receiver |\n|{}",
            " --- |".repeat(6)
        )?;
        for (name, fitted, known, more) in laws {
            let score = self.score(known, more)?;
            writeln!(
                out,
                "| {name} | {fitted} | {} | {:.2} | {:.2} | {} |",
                list(&score.factors),
                score.in_sample,
                score.left_out,
                list(&score.receivers)
            )?;
        }
        writeln!(out)?;
        Ok(())
    }

    /// Scores what is known, an offset and some columns.
    fn score(&self, known: &[f64], more: Vec<&Vec<f64>>) -> Result<Score, Diagnostic> {
        let mut columns = vec![ones(known.len())];
        columns.extend(more.into_iter().cloned());
        let known = known.to_vec();
        score(&self.levels, &Forecast { known, columns })
    }

    fn distance(&self) -> Vec<f64> {
        self.column(|cell| -10.0 * cell.d.log10())
    }

    fn models(&self, plan: &Plan, name: &str, out: &mut impl Write) -> Result<(), Diagnostic> {
        let distance = self.distance();
        for walls in [Walls::Typical, Walls::Ideal] {
            for openings in [Edges::Soft, Edges::Sharp] {
                for reflections in 0..=2 {
                    let predicted = self.predicted(plan, model(walls, openings, reflections))?;
                    let beyond: Vec<f64> = predicted
                        .iter()
                        .zip(&self.free_space)
                        .map(|(all, free)| all - free)
                        .collect();
                    let plain = self.score(&predicted, vec![])?;
                    let scaled = self.score(&self.free_space, vec![&beyond])?;
                    let bent = self.score(&predicted, vec![&distance])?;
                    writeln!(
                        out,
                        "| {name} | {walls:?} | {openings:?} | {reflections} | {:.2} | {:.2} ({}) \
                         | {:.2} | {:.2} | {:.2} | {:+.2} | {:.2} | {:.2} |",
                        plain.in_sample,
                        plain.left_out,
                        list(&plain.receivers),
                        scaled.factors[1],
                        scaled.in_sample,
                        scaled.left_out,
                        bent.factors[1],
                        bent.in_sample,
                        bent.left_out
                    )?;
                }
            }
        }
        Ok(())
    }

    /// Gains of all cells, dB.
    fn predicted(&self, plan: &Plan, model: Model) -> Result<Vec<f64>, Diagnostic> {
        self.each_cell(plan, model, gain)
    }

    fn each_cell<T>(
        &self,
        plan: &Plan,
        model: Model,
        of: impl Fn(&Site<'_>, Spot) -> Result<T, Diagnostic>,
    ) -> Result<Vec<T>, Diagnostic> {
        let mut sites = Vec::new();
        for anchor in &self.anchors {
            let place = Coord { x: anchor.x, y: anchor.y };
            sites.push((anchor.id, listener(plan, model, (place, anchor.z), self.aerial)?));
        }
        self.cells
            .iter()
            .map(|cell| {
                let (_, site) = sites
                    .iter()
                    .find(|(id, _)| *id == cell.a)
                    .ok_or("a cell of a receiver that is not listed")?;
                of(site, (Coord { x: cell.x, y: cell.y }, TRANSMITTER_M))
            })
            .collect()
    }

    /// Errors with a few readings.
    fn with_readings(
        &self,
        plan: &Plan,
        (name, reflections): (&str, u8),
        out: &mut impl Write,
    ) -> Result<(), Diagnostic> {
        let names = [name.to_owned(), FLOORS.to_owned()];
        let model = model(Walls::Typical, Edges::Soft, reflections);
        let predicted = self.predicted(plan, model)?;
        let slopes = self.each_cell(plan, model, |site, spot| slopes(site, spot, &names))?;
        let links = self.cells.iter().zip(predicted).zip(slopes);
        let links: Vec<Measured> = links
            .map(|((cell, predicted), slopes)| Measured {
                level: cell.rssi,
                set: 0,
                receiver: cell.a as usize,
                place: [cell.x, cell.y, TRANSMITTER_M],
                distance_m: cell.d,
                walls: [cell.w, 0.0],
                predicted,
                slopes,
            })
            .collect();
        let survey = Survey {
            title: &format!(
                "Flat, walls of {name}, {reflections} reflections, aerials {:?}, with readings",
                self.aerial
            ),
            counts: &readings::COUNTS,
            links,
            constructions: names
                .iter()
                .map(|name| sigma_of(name, LINK))
                .collect::<Result<_, _>>()?,
            exponent: readings::RESIDENTIAL_EXPONENT,
            wall_losses: readings::COST_231,
            link: LINK,
        };
        readings::compare(&survey, out)
    }

    fn behind(&self, count: f64) -> impl Iterator<Item = (usize, &Cell)> {
        let cells = self.cells.iter().enumerate();
        cells.filter(move |(_, cell)| (cell.w - count).abs() < 0.5)
    }

    /// The head of the table by walls: how many cells and how far away.
    fn walls_and_distances(&self, out: &mut impl Write) -> Result<(), Diagnostic> {
        writeln!(
            out,
            "Mean of measured less foretold (soft, 1 reflection), offset fitted where no wall is \
             crossed, dB\n\n| walls of | loss | 0 walls | 1 | 2 | 3 |\n|{}",
            " --- |".repeat(6)
        )?;
        write!(out, "| (cells, mean distance) | |")?;
        for count in WALL_COUNTS {
            let far: Vec<f64> = self.behind(count).map(|(_, cell)| cell.d).collect();
            write!(out, " {}, {:.1} m |", far.len(), mean(&far))?;
        }
        writeln!(out)?;
        Ok(())
    }

    /// How far off the model is behind so many walls.
    fn by_walls(&self, plan: &Plan, name: &str, out: &mut impl Write) -> Result<(), Diagnostic> {
        for walls in [Walls::Typical, Walls::Ideal] {
            let predicted = self.predicted(plan, model(walls, Edges::Soft, 1))?;
            let off = |count: f64| -> f64 {
                let off = self.behind(count).map(|(i, cell)| cell.rssi - predicted[i]);
                mean(&off.collect::<Vec<f64>>())
            };
            let clear = off(0.0);
            write!(out, "| {name} | {} |", format!("{walls:?}").to_lowercase())?;
            for count in WALL_COUNTS {
                write!(out, " {:+.1} |", off(count) - clear)?;
            }
            writeln!(out)?;
        }
        Ok(())
    }

    /// The log-distance law where no wall is crossed.
    fn clear_law(&self, out: &mut impl Write) -> Result<(), Diagnostic> {
        let clear: Vec<&Cell> = self.cells.iter().filter(|cell| cell.w < 0.5).collect();
        let levels = Levels {
            receiver: clear.iter().map(|cell| cell.a.to_string()).collect(),
            level: clear.iter().map(|cell| cell.rssi).collect(),
        };
        let distance = clear.iter().map(|cell| -10.0 * cell.d.log10()).collect();
        let forecast =
            Forecast { known: vec![0.0; clear.len()], columns: vec![ones(clear.len()), distance] };
        let score = score(&levels, &forecast)?;
        writeln!(
            out,
            "Where no wall is crossed ({} cells) log-distance gives an exponent of {:.2}, {:.2} dB \
             in sample, {:.2} dB left out.\n",
            clear.len(),
            score.factors[1],
            score.in_sample,
            score.left_out
        )?;
        Ok(())
    }

    /// Checks the derived walls against the number of walls that comes with the data.
    fn same_walls(&self, plan: &Plan, out: &mut impl Write) -> Result<(), Diagnostic> {
        let model = model(Walls::Ideal, Edges::Sharp, 0);
        let counted = self.each_cell(plan, model, walls_between)?;
        let more = |cell: &Cell, ours: usize| ours as f64 > cell.w + 0.5;
        let pairs = || self.cells.iter().zip(counted.iter().copied());
        let above = pairs().filter(|(cell, ours)| more(cell, *ours)).count();
        let round = pairs()
            .filter(|(cell, ours)| more(cell, *ours) && cell.out > THICKEST_M * cell.w)
            .count();
        let same = pairs().filter(|(cell, ours)| (*ours as f64 - cell.w).abs() < 0.5).count();
        writeln!(
            out,
            "Walls on the straight line, ours beside the data's: {same} cells the same, {above} more \
             (in {round} of them the line leaves the flat), {} fewer.\n",
            self.cells.len() - same - above
        )?;
        Ok(())
    }
}

fn model(walls: Walls, openings: Edges, reflections: u8) -> Model {
    Model { walls, openings, reflections, ..Model::default() }
}

fn list(values: &[f64]) -> String {
    let values: Vec<String> = values.iter().map(|x| format!("{x:.2}")).collect();
    values.join(", ")
}
