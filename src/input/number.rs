//! Numbers as people write them.

/// What a comma and a point mean in a number.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Style {
    /// The point is the decimal sign; a comma only sets off thousands.
    Point,
    /// Point or comma may be the decimal sign, and the other set off thousands.
    Either,
    /// Point or comma is the decimal sign; nothing sets off thousands.
    NoThousands,
}

/// Why a text is no number.
#[derive(Debug, Clone, Copy, PartialEq, Eq, thiserror::Error)]
pub enum NoNumber {
    /// It has other signs than a number.
    #[error("is not a number")]
    Signs,
    /// One comma or point with three digits after it: decimal sign or thousands?
    #[error("can be read in two ways")]
    Ambiguous,
    /// It has more digits than are read.
    #[error("has too many digits")]
    TooLong,
}

/// A number with the unit behind it taken off, if it has one of these; `None` if it is none.
/// Neither words ("nan", "inf") nor powers of ten are numbers that people write.
#[must_use]
pub fn quantity(text: &str, units: &[&str]) -> Option<f64> {
    let text = text.trim().to_ascii_lowercase();
    let bare = units.iter().find_map(|unit| text.strip_suffix(unit)).unwrap_or(&text);
    let plain = plain(bare, Style::NoThousands).ok().filter(|plain| plain.len() <= 30)?;
    plain.parse().ok().filter(|number: &f64| number.is_finite())
}

/// The digits of a number, with `-` before them and a point in them where it has such. Minus signs,
/// hyphens, dashes and spaces of every kind are understood; spaces and apostrophes set off
/// thousands.
///
/// # Errors
/// [`NoNumber`]; with one decimal sign of two possible ones, three digits behind it and no zero
/// before it the number is ambiguous.
pub fn plain(text: &str, style: Style) -> Result<String, NoNumber> {
    let plain: String = text.trim().chars().map(plain_sign).filter(|sign| !is_gap(*sign)).collect();
    let (minus, body) = match plain.strip_prefix('-') {
        Some(body) => ("-", body),
        None => ("", plain.strip_prefix('+').unwrap_or(&plain)),
    };
    let is_digit = |sign: char| sign.is_ascii_digit();
    let known = |sign: char| is_digit(sign) || matches!(sign, '.' | ',');
    let loose = style == Style::NoThousands && body.contains(is_digit);
    let closed = body.starts_with(is_digit) && body.ends_with(is_digit);
    if !body.chars().all(known) || !(loose || closed) {
        return Err(NoNumber::Signs);
    }
    let sign = decimal_sign(body, style)?;
    let (whole, part) = sign.and_then(|sign| body.rsplit_once(sign)).unwrap_or((body, ""));
    if !part.chars().all(is_digit) {
        return Err(NoNumber::Signs);
    }
    let point = if part.is_empty() { "" } else { "." };
    Ok(format!("{minus}{}{point}{part}", without_groups(whole, sign)?))
}

/// Hyphens and dashes as a minus sign, spaces as a space.
#[must_use]
pub fn plain_sign(character: char) -> char {
    match character {
        '\u{2010}'..='\u{2015}' | '\u{2212}' | '\u{fe63}' | '\u{ff0d}' => '-',
        '\u{a0}' | '\u{2000}'..='\u{200a}' | '\u{202f}' | '\t' => ' ',
        other => other,
    }
}

/// What may stand between any two digits.
const fn is_gap(sign: char) -> bool {
    matches!(sign, ' ' | '\'' | '’')
}

/// The sign between whole and part, if there is one.
fn decimal_sign(body: &str, style: Style) -> Result<Option<char>, NoNumber> {
    let count = |sign: char| body.matches(sign).count();
    let (points, commas) = (count('.'), count(','));
    let last = if body.rfind('.') > body.rfind(',') { '.' } else { ',' };
    match (points + commas, style) {
        (0, _) => Ok(None),
        (1, Style::NoThousands) => Ok(Some(last)),
        (_, Style::Point) if points <= 1 => Ok((points == 1).then_some('.')),
        (1, Style::Either) => {
            let (whole, part) = body.split_once(last).unwrap_or((body, ""));
            // Nobody writes 0.125 for a hundred and twenty-five.
            let may_be_group = part.len() == 3 && whole.len() <= 3 && !whole.starts_with('0');
            if may_be_group { Err(NoNumber::Ambiguous) } else { Ok(Some(last)) }
        }
        (_, Style::Either) if points == 0 || commas == 0 => Ok(None),
        // Both occur: the last one is the decimal sign, if it occurs once.
        (_, Style::Either) if count(last) == 1 => Ok(Some(last)),
        _ => Err(NoNumber::Signs),
    }
}

/// The digits before the decimal sign; what sets off thousands must do so every three digits.
fn without_groups(whole: &str, sign: Option<char>) -> Result<String, NoNumber> {
    let Some(mark) = whole.chars().find(|mark| matches!(mark, '.' | ',')) else {
        return Ok(whole.to_owned());
    };
    let groups: Vec<&str> = whole.split(mark).collect();
    let fits = |(place, group): (usize, &&str)| match place {
        0 => (1..=3).contains(&group.len()),
        _ => group.len() == 3 && !group.contains(['.', ',']),
    };
    let sound = sign != Some(mark) && groups.iter().enumerate().all(fits);
    if sound { Ok(groups.concat()) } else { Err(NoNumber::Signs) }
}
