//! Least squares, in sample and with one receiver left out at a time.

use std::collections::BTreeSet;

use nalgebra::{DMatrix, DVector};

use super::Diagnostic;

/// Measured levels with the receiver that each belongs to.
#[derive(Debug, Clone)]
pub struct Levels {
    /// Receiver of each level.
    pub receiver: Vec<String>,
    /// The levels, dB.
    pub level: Vec<f64>,
}

/// A forecast: what is known of each level, and the columns whose factors are fitted.
#[derive(Debug, Clone)]
pub struct Forecast {
    /// The part without free factors, dB.
    pub known: Vec<f64>,
    /// One column for each fitted factor.
    pub columns: Vec<Vec<f64>>,
}

/// How well a forecast does.
#[derive(Debug, Clone)]
pub struct Score {
    /// Root mean square of what is left with the factors fitted on all levels, dB.
    pub in_sample: f64,
    /// The same with each receiver's levels predicted by factors fitted on the others, dB.
    pub left_out: f64,
    /// The left-out figure of each receiver, dB, in the order of their names.
    pub receivers: Vec<f64>,
    /// The factors fitted on all levels.
    pub factors: Vec<f64>,
}

/// A column of ones, for a constant offset.
pub fn ones(count: usize) -> Vec<f64> {
    vec![1.0; count]
}

/// Root mean square.
pub fn rms(values: &[f64]) -> f64 {
    (values.iter().map(|x| x * x).sum::<f64>() / values.len() as f64).sqrt()
}

/// Mean.
pub fn mean(values: &[f64]) -> f64 {
    values.iter().sum::<f64>() / values.len() as f64
}

/// Scores a forecast against levels.
pub fn score(levels: &Levels, forecast: &Forecast) -> Result<Score, Diagnostic> {
    let all: Vec<usize> = (0..levels.level.len()).collect();
    let factors = factors(levels, forecast, &all)?;
    let residuals = residuals(levels, forecast, &factors, &all);
    let receivers: BTreeSet<&String> = levels.receiver.iter().collect();
    let (mut unseen, mut by_receiver) = (Vec::new(), Vec::new());
    for one in receivers {
        let (own, others): (Vec<usize>, Vec<usize>) =
            all.iter().partition(|i| levels.receiver.get(**i) == Some(one));
        let fitted = self::factors(levels, forecast, &others)?;
        let missed = self::residuals(levels, forecast, &fitted, &own);
        by_receiver.push(rms(&missed));
        unseen.extend(missed);
    }
    Ok(Score {
        in_sample: rms(&residuals),
        left_out: rms(&unseen),
        receivers: by_receiver,
        factors,
    })
}

fn factors(levels: &Levels, forecast: &Forecast, chosen: &[usize]) -> Result<Vec<f64>, Diagnostic> {
    let wide = forecast.columns.len();
    let matrix =
        DMatrix::from_fn(chosen.len(), wide, |row, column| forecast.columns[column][chosen[row]]);
    let wanted = DVector::from_fn(chosen.len(), |row, _| {
        levels.level[chosen[row]] - forecast.known[chosen[row]]
    });
    let solved = matrix.svd(true, true).solve(&wanted, 1e-9)?;
    Ok(solved.iter().copied().collect())
}

fn residuals(levels: &Levels, forecast: &Forecast, factors: &[f64], chosen: &[usize]) -> Vec<f64> {
    chosen
        .iter()
        .map(|&i| {
            let fitted: f64 = factors
                .iter()
                .zip(&forecast.columns)
                .map(|(factor, column)| factor * column[i])
                .sum();
            levels.level[i] - forecast.known[i] - fitted
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use approx::assert_abs_diff_eq;

    #[test]
    fn a_receiver_of_its_own_level_spoils_only_what_is_left_out() {
        let levels = Levels {
            receiver: ["a", "a", "b", "b"].map(str::to_owned).to_vec(),
            level: vec![0.0, 0.0, 2.0, 2.0],
        };
        let offset = Forecast { known: vec![0.0; 4], columns: vec![ones(4)] };
        let score = score(&levels, &offset).expect("the columns have full rank");
        assert_abs_diff_eq!(score.in_sample, 1.0, epsilon = 1e-12);
        assert_abs_diff_eq!(score.left_out, 2.0, epsilon = 1e-12);
        assert_abs_diff_eq!(score.factors[0], 1.0, epsilon = 1e-12);
    }
}
