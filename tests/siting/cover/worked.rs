//! Cases made by hand.

use siting::cover::{
    CoverAnswer, CoverError, CoverProblem, Hops, Matrix, Proof, RepeaterOption, cover,
};

const NOT: f64 = 0.5;

fn matrix(rows: &[&[f64]]) -> Matrix {
    let columns = rows.first().map_or(0, |row| row.len());
    Matrix::from_fn(rows.len(), columns, |row, column| rows[row][column])
}

/// One panel place that hears no sensor and every site; sites without a limit.
fn plain(sensor_site: &[&[f64]]) -> CoverProblem {
    let sensors = sensor_site.len();
    let sites = sensor_site[0].len();
    CoverProblem {
        panels: 1,
        sites: vec![RepeaterOption::default(); sites],
        sensors,
        sensor_panel: Matrix::from_fn(sensors, 1, |_, _| NOT),
        sensor_site: matrix(sensor_site),
        site_panel: Matrix::from_fn(sites, 1, |_, _| 0.001),
        site_site: Matrix::from_fn(sites, sites, |_, _| NOT),
        sound_below: 0.01,
        sensor_below: Vec::new(),
        hops: Hops::One,
        lose_one: false,
    }
}

fn best(problem: &CoverProblem) -> CoverAnswer {
    let answer = cover(problem, &|| false).unwrap();
    assert_eq!(answer.check(problem), Ok(()));
    assert_eq!(answer.proof, Proof::Best);
    answer
}

#[test]
fn a_sensor_stays_direct_where_that_is_better_though_a_repeater_is_open() {
    let mut problem = plain(&[&[0.001], &[0.001], &[0.001]]);
    problem.sensor_panel = matrix(&[&[NOT], &[0.0005], &[0.005]]);
    let answer = best(&problem);
    assert_eq!(answer.open, [0]);
    // The repeater's own hop is paid by sensor 0 already, so sensor 2 is better off over it.
    assert_eq!(answer.ways, [vec![0], vec![], vec![0]]);
    let chance = 1.0 - 0.999_f64.powi(3) * 0.9995;
    assert!((answer.chance_of_any_fault - chance).abs() < 1e-12);
}

#[test]
fn no_repeater_is_opened_where_none_is_needed() {
    let mut problem = plain(&[&[0.0001], &[0.0001]]);
    problem.sensor_panel = matrix(&[&[0.009], &[0.009]]);
    let answer = best(&problem);
    assert_eq!(answer.open, [] as [usize; 0]);
    assert_eq!(answer.ways, [[0_usize; 0]; 2]);
}

#[test]
fn a_given_repeater_costs_nothing_and_is_used_where_it_helps() {
    let mut problem = plain(&[&[0.0001], &[0.0001]]);
    problem.sensor_panel = matrix(&[&[0.009], &[0.009]]);
    problem.sites[0].given = true;
    let answer = best(&problem);
    assert_eq!((answer.open.as_slice(), answer.new.len()), ([0].as_slice(), 0));
    assert_eq!(answer.ways, [vec![0], vec![0]]);
    // With a poor hop to the panel it stands idle and counts nothing.
    problem.sensor_panel = matrix(&[&[0.002], &[0.002]]);
    problem.site_panel = matrix(&[&[0.0099]]);
    let answer = best(&problem);
    assert_eq!(answer.ways, [[0_usize; 0]; 2]);
    assert!((answer.chance_of_any_fault - (1.0 - 0.998_f64.powi(2))).abs() < 1e-12);
}

#[test]
fn capacity_makes_a_second_repeater_needed() {
    let mut problem = plain(&[&[0.001, 0.002], &[0.001, 0.003], &[0.001, 0.004]]);
    assert_eq!(best(&problem).open, [0]);
    problem.sites[0].capacity = Some(2);
    problem.sites[1].capacity = Some(2);
    let answer = best(&problem);
    assert_eq!(answer.open, [0, 1]);
    assert_eq!(answer.ways[0], vec![1]);
    assert_eq!(answer.ways[2], vec![0]);
    problem.sites[1].capacity = Some(0);
    assert_eq!(cover(&problem, &|| false), Err(CoverError::CapacityTooSmall { panel: 0 }));
    problem.sites[0].capacity = Some(0);
    assert_eq!(
        cover(&problem, &|| false),
        Err(CoverError::Unreachable { panel: 0, sensors: vec![0, 1, 2] })
    );
}

#[test]
fn two_hops_reach_what_one_does_not() {
    let mut problem = plain(&[&[0.001, NOT], &[0.001, NOT]]);
    problem.site_panel = matrix(&[&[NOT], &[0.002]]);
    problem.site_site = matrix(&[&[NOT, 0.003], &[NOT, NOT]]);
    let unreachable = CoverError::Unreachable { panel: 0, sensors: vec![0, 1] };
    assert_eq!(cover(&problem, &|| false), Err(unreachable));
    problem.hops = Hops::Two;
    let answer = best(&problem);
    assert_eq!(answer.ways, [vec![0, 1], vec![0, 1]]);
    // Two first hops, and each onward hop once although two sensors use it.
    let chance = 1.0 - 0.999_f64.powi(2) * 0.997 * 0.998;
    assert!((answer.chance_of_any_fault - chance).abs() < 1e-12);
    // What is passed on counts at the second repeater too.
    problem.sites[1].capacity = Some(1);
    assert_eq!(cover(&problem, &|| false), Err(CoverError::CapacityTooSmall { panel: 0 }));
}

#[test]
fn to_lose_one_takes_two() {
    let mut problem = plain(&[&[0.001, 0.005], &[0.001, 0.005]]);
    assert_eq!(best(&problem).open, [0]);
    problem.lose_one = true;
    let answer = best(&problem);
    assert_eq!(answer.open, [0, 1]);
    // The second hangs there for the day when the first fails.
    assert_eq!(answer.ways, [vec![0], vec![0]]);
    assert!((answer.chance_of_any_fault - (1.0 - 0.999_f64.powi(3))).abs() < 1e-12);
    problem.sites[1].capacity = Some(1);
    assert_eq!(
        cover(&problem, &|| false),
        Err(CoverError::CapacityTooSmallAfterLoss { panel: 0, lost: 0 })
    );
    problem.sensor_site = matrix(&[&[0.001, 0.005], &[0.001, NOT]]);
    assert_eq!(
        cover(&problem, &|| false),
        Err(CoverError::NotTwice { panel: 0, sensors: vec![1] })
    );
}

#[test]
fn greedy_is_wrong_where_the_largest_set_is_a_trap() {
    // Two rows of 7 sensors; a site for each row, and three that take 8, 4 and 2 across both rows:
    // the largest first, then the next largest, ends with three.
    let heard = |sensor: usize, site: usize| {
        let (row, column) = (sensor / 7, sensor % 7);
        let taken = match site {
            0 => column < 4,
            1 => (4..6).contains(&column),
            2 => column == 6,
            _ => row == site - 3,
        };
        if taken { 0.001 } else { NOT }
    };
    let mut problem = plain(&[[NOT; 5].as_slice(); 14]);
    problem.sensor_site = Matrix::from_fn(14, 5, heard);
    assert_eq!(best(&problem).open, [3, 4]);
}

#[test]
fn the_panel_goes_where_fewest_repeaters_are_needed_though_another_place_hears_more() {
    let mut problem = plain(&[&[0.001, NOT, NOT], &[NOT, 0.001, NOT], &[NOT, NOT, 0.001]]);
    problem.panels = 2;
    // Place 0 hears sensor 0 and needs sites 1 and 2; place 1 hears none but sensors 1 and 2.
    problem.sensor_panel = matrix(&[&[0.0001, NOT], &[NOT, 0.009], &[NOT, 0.009]]);
    problem.site_panel = Matrix::from_fn(3, 2, |_, _| 0.005);
    let answer = best(&problem);
    assert_eq!((answer.panel, answer.open.as_slice()), (1, [0].as_slice()));
}

#[test]
fn the_sensors_without_any_way_are_named() {
    let mut problem = plain(&[&[0.001, NOT], &[NOT, NOT], &[NOT, 0.001], &[f64::NAN, 1.0]]);
    problem.site_panel = matrix(&[&[0.001], &[NOT]]);
    assert_eq!(
        cover(&problem, &|| false),
        Err(CoverError::Unreachable { panel: 0, sensors: vec![1, 2, 3] })
    );
}

#[test]
fn an_answer_that_is_tampered_with_does_not_pass_its_check() {
    let mut problem = plain(&[&[0.001, 0.002], &[0.001, 0.002], &[0.001, NOT]]);
    problem.sites[0].capacity = Some(2);
    let answer = best(&problem);
    let spoils: [fn(&mut CoverAnswer); 5] = [
        |wrong| wrong.ways[2] = vec![1],
        |wrong| wrong.ways = vec![vec![0]; 3],
        |wrong| wrong.ways[0] = vec![],
        |wrong| wrong.chance_of_any_fault *= 0.9,
        |wrong| wrong.open.truncate(1),
    ];
    for spoil in spoils {
        let mut wrong = answer.clone();
        spoil(&mut wrong);
        assert!(wrong.check(&problem).is_err(), "{wrong:?}");
    }
}
