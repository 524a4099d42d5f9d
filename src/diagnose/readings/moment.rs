//! Times as people write them.

use time::OffsetDateTime;
use time::format_description::well_known::Rfc3339;

use input::number::plain_sign;

/// Minutes since 1970-01-01T00:00Z of a time in RFC 3339, and whether it said in which zone. A date
/// alone, or a time without a zone, is taken as UTC.
pub(super) fn moment(text: &str) -> Option<(f64, bool)> {
    let text: String = text.trim().chars().map(plain_sign).collect();
    if !text.is_ascii() || text.len() > 40 {
        return None;
    }
    let (date, clock) = match text.split_once(['T', 't', ' ']) {
        Some((date, clock)) => (date, clock.trim()),
        None => (text.as_str(), "00:00"),
    };
    let zone_at = clock.find(['Z', 'z', '+', '-']);
    let (clock, zone) = clock.split_at(zone_at.unwrap_or(clock.len()));
    let clock = clock.trim_end();
    let seconds = if clock.matches(':').count() == 1 { ":00" } else { "" };
    let zone = if zone.is_empty() { "Z" } else { zone };
    let whole = format!("{date}T{clock}{seconds}{zone}").to_ascii_uppercase();
    let moment = OffsetDateTime::parse(&whole, &Rfc3339).ok()?;
    let seconds = moment.unix_timestamp() as f64 + f64::from(moment.nanosecond()) / 1e9;
    Some((seconds / 60.0, zone_at.is_some()))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn times_with_and_without_a_zone() {
        // 2026-03-01T00:00Z: 20,513 days after the beginning (calculated here).
        let day = 20_513.0 * 1_440.0;
        assert_eq!(moment("2026-03-01"), Some((day, false)));
        assert_eq!(moment("2026-03-01 18:20"), Some((day + 1_100.0, false)));
        assert_eq!(moment("2026-03-01T18:20:30Z"), Some((day + 1_100.5, true)));
        assert_eq!(moment("2026-03-01t18:20:00+02:00"), Some((day + 980.0, true)));
        assert_eq!(moment("2026-03-01 18:20 -01:00"), Some((day + 1_160.0, true)));
        for text in
            ["", "18:20", "01.03.2026", "2026-02-30", "2026-03-01T25:00Z", "soon", "2026-3-1"]
        {
            assert_eq!(moment(text), None, "{text}");
        }
    }
}
