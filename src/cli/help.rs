//! `drillonce help TOPIC`: the guides, as they stand beside what they describe, and the members of
//! a plan's file.

use std::env::args_os;

use clap::Error;
use clap::error::ErrorKind;

use super::error::CommandError;
use super::frame::Answer;
use plan::reference::members;

/// The topics that are files.
const GUIDES: [(&str, &str); 6] = [
    ("plan", include_str!("../../floorplans/README.md")),
    ("readings", include_str!("../../floorplans/READINGS.md")),
    ("tape", include_str!("../../floorplans/tape/README.md")),
    ("drawing", include_str!("../../floorplans/drawing/README.md")),
    ("map", include_str!("../../floorplans/map/README.md")),
    ("prices", include_str!("../../floorplans/quote/README.md")),
];

/// What follows the list of commands: the topics, and the exit codes.
pub(crate) fn footer() -> String {
    format!(
        "`drillonce help TOPIC` prints a guide; topics: members, {}.\n\nExit codes: 0 every device \
         sound or thin; 1 a device failing, or a plan to tidy; 2 bad usage or a bad plan; 3 a \
         result could not be written; 130 stopped by Ctrl-C.",
        GUIDES.map(|(name, _)| name).join(", ")
    )
}

/// The answer to `help` and a word that is no command; `None` for any other mistake.
pub(crate) fn topic(mistake: &Error) -> Option<Result<Answer, CommandError>> {
    let asked = args_os().nth(2).filter(|_| args_os().nth(1).is_some_and(|word| word == "help"));
    let asked = asked.filter(|_| mistake.kind() == ErrorKind::InvalidSubcommand)?;
    let guide = GUIDES.iter().find(|(name, _)| asked == *name).map(|(_, text)| (*text).to_owned());
    let text = guide.or_else(|| (asked == "members").then(members));
    Some(text.map(|text| Answer { text, ..Answer::default() }).ok_or_else(|| {
        let (asked, footer) = (asked.to_string_lossy().escape_debug().to_string(), footer());
        let topics = footer.lines().next().unwrap_or_default();
        CommandError::Usage(format!("\"{asked}\" is neither a topic nor a command. {topics}"))
    }))
}
