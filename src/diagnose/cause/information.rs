//! Expected information of a test.

/// Expected information, in bits, that an outcome gives about a cause: the mutual information
/// Σ p(c)·p(o|c)·log₂(p(o|c) / p(o)).
///
/// For each cause its chance and the chances of the outcomes under it, as many for each. Chances
/// that do not add to one are taken as they are.
///
/// # Reference
/// Cover and Thomas, Elements of Information Theory, 2.3 (from memory).
pub(super) fn information_bits(causes: &[(f64, Vec<f64>)]) -> f64 {
    let count = causes.iter().map(|(_, outcomes)| outcomes.len()).max().unwrap_or(0);
    let mut all = vec![0.0; count];
    for (chance, outcomes) in causes {
        for (sum, one) in all.iter_mut().zip(outcomes) {
            *sum += chance * one;
        }
    }
    let mut bits = 0.0;
    for (chance, outcomes) in causes {
        for (sum, one) in all.iter().zip(outcomes) {
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
    fn a_decisive_test_gives_the_entropy_and_a_blind_one_gives_none() {
        let sure =
            [(0.5, vec![1.0, 0.0, 0.0]), (0.25, vec![0.0, 1.0, 0.0]), (0.25, vec![0.0, 0.0, 1.0])];
        assert!((information_bits(&sure) - 1.5).abs() < 1e-12);
        let blind = [0.5, 0.25, 0.25].map(|chance| (chance, vec![0.3, 0.7]));
        assert!(information_bits(&blind) < 1e-12);
    }
}
