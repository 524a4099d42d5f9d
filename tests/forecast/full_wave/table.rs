//! Bias and error of a ray model by number of walls.

use super::rays::RayModel;
use super::survey::Reading;

/// The classes of receivers, in the table's order.
pub const CLASSES: [&str; 7] = ["all", "no wall", "1 wall", "2 walls", "3 walls", "4+", "> 75°"];

/// Mean and root mean square of (model − full wave), dB; + is pessimistic.
#[derive(Clone, Copy)]
pub struct Score {
    /// How many receivers.
    pub count: usize,
    /// Mean, dB.
    pub bias_db: f64,
    /// Root mean square, dB.
    pub rmse_db: f64,
}

/// The score of a model in every class.
pub fn score(model: &dyn RayModel, readings: &[Reading]) -> [Score; 7] {
    let errors: Vec<f64> = readings
        .iter()
        .map(|r| model.excess_db(r.frequency_hz, r.tx, r.rx) - r.excess_db)
        .collect();
    let member = |class: usize, r: &Reading| match class {
        0 => true,
        1..=4 => r.walls == class - 1,
        5 => r.walls >= 4,
        _ => r.incidence_deg > 75.0,
    };
    std::array::from_fn(|class| {
        let chosen =
            || readings.iter().zip(&errors).filter(|(r, _)| member(class, r)).map(|(_, e)| *e);
        let count = chosen().count();
        let n = count as f64;
        Score {
            count,
            bias_db: chosen().sum::<f64>() / n,
            rmse_db: (chosen().map(|e| e * e).sum::<f64>() / n).sqrt(),
        }
    })
}

/// The head of the table.
pub fn head(title: &str, scores: &[Score; 7]) -> String {
    let cells: Vec<String> = CLASSES
        .iter()
        .zip(scores)
        .map(|(class, s)| format!("{:>18}", format!("{class} ({})", s.count)))
        .collect();
    format!(
        "{title}: bias / RMSE in dB, + is pessimistic (receivers)\n{:<25}{}",
        "",
        cells.join("")
    )
}

/// One row of the table.
pub fn row(name: &str, scores: &[Score; 7]) -> String {
    let cells: Vec<String> = scores
        .iter()
        .map(|s| format!("{:>18}", format!("{:+.1} / {:.1}", s.bias_db, s.rmse_db)))
        .collect();
    format!("{name:<25}{}", cells.join(""))
}
