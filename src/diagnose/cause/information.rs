//! Expected information of a test.

/// Expected information, in bits, that an outcome gives about a cause: the mutual information
/// Σ p(c)·p(o|c)·log₂(p(o|c) / p(o)).
///
/// `chances` are those of the causes; for each cause `outcomes` has the chances of the outcomes, as
/// many for each. Chances that do not add to one are taken as they are.
///
/// # Reference
/// Cover and Thomas, Elements of Information Theory, 2.3 (from memory).
#[must_use]
pub fn information_bits(chances: &[f64], outcomes: &[Vec<f64>]) -> f64 {
    let count = outcomes.iter().map(Vec::len).max().unwrap_or(0);
    let mut all = vec![0.0; count];
    for (chance, outcome) in chances.iter().zip(outcomes) {
        for (sum, one) in all.iter_mut().zip(outcome) {
            *sum += chance * one;
        }
    }
    let mut bits = 0.0;
    for (chance, outcome) in chances.iter().zip(outcomes) {
        for (sum, one) in all.iter().zip(outcome) {
            if *one > 0.0 && *sum > 0.0 && *chance > 0.0 {
                bits += chance * one * (one / sum).log2();
            }
        }
    }
    bits.max(0.0)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_test_that_tells_all_gives_the_entropy_and_one_that_tells_nothing_gives_none() {
        let chances = [0.5, 0.25, 0.25];
        let sure = [vec![1.0, 0.0, 0.0], vec![0.0, 1.0, 0.0], vec![0.0, 0.0, 1.0]];
        assert!((information_bits(&chances, &sure) - 1.5).abs() < 1e-12);
        let blind = vec![vec![0.3, 0.7]; 3];
        assert!(information_bits(&chances, &blind) < 1e-12);
    }
}
