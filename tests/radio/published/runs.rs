//! Runs of successes: published worked examples, and a closed form.

use approx::assert_relative_eq;
use forecast::run_of_misses;

/// Six or more heads in a row within ten tosses: 3/64. Worked by counting sequences in the solution
/// of a puzzle (hectorparr.freeuk.com/hcp/quizoct06.htm, question 3; read).
#[test]
fn six_heads_in_a_row_within_ten_tosses() {
    assert_relative_eq!(run_of_misses(0.5, 6, 10), 3.0 / 64.0, max_relative = 1e-14);
}

/// Three in a row within ten: 65/128 (A. de Moivre, The Doctrine of Chances, 3rd edition, 1756,
/// on runs; from memory, the book was not opened. Counting agrees: 1024 − 504 sequences, 504 being
/// the tribonacci number of sequences without such a run).
#[test]
fn three_in_a_row_within_ten() {
    assert_relative_eq!(run_of_misses(0.5, 3, 10), 65.0 / 128.0, max_relative = 1e-14);
}

/// No two heads in a row within n tosses: F(n+2)/2^n with Fibonacci numbers F (closed form).
#[test]
fn no_two_in_a_row_are_fibonacci_numbers() {
    let (mut before, mut number) = (1.0, 2.0);
    for tosses in 1..=60 {
        let without = number / 2f64.powi(tosses);
        let with = run_of_misses(0.5, 2, tosses as usize);
        assert_relative_eq!(with, 1.0 - without, max_relative = 1e-13, epsilon = 1e-15);
        (before, number) = (number, before + number);
    }
}
