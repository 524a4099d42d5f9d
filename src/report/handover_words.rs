//! Every word of the hand-over, in English: to be found in one place.

use super::handover::{BatteryRow, HandoverReport};
use forecast::Finding;
use job::schedule::{Active, Concern, Matter, Response, Role, Sort, TestStep};

/// What is easily forgotten at a hand-over.
pub const REMINDERS: [&str; 4] = [
    "Taking over a panel wipes the sensors and codes that it holds: every sensor, keypad and fob is \
     enrolled anew, and every code is set anew, the installer's own first.",
    "The battery carries a panel that is running; it does not start one. Connect the mains supply \
     first, then the battery.",
    "Before testing, tell the monitoring station, and tell it again when the test is over. Warn the \
     people in the building of the siren.",
    "Ask the customer to test every device once a month and smoke and carbon-monoxide alarms as their \
     instructions say.",
];

/// Said where no walk to the panel is known.
pub const NO_WALK: &str = "no entry leads to the panel, so the walk and the delays are not known; give \
     the door by which people come in \"entry\": true";

/// Titles of the hand-over's parts and of its columns.
pub mod titles {
    #![allow(missing_docs, reason = "each says what it is")]

    pub const HANDOVER: &str = "Hand-over";
    pub const SITE: &str = "Site";
    pub const DATE: &str = "Date";
    pub const PANEL: &str = "Panel";
    pub const LINK: &str = "Link";
    pub const DEVICES: &str = "Devices";
    pub const STATE: &str = "Forecast";
    pub const CAUTION: &str = "Caution";
    pub const REMEMBER: &str = "Do not forget";
    pub const DOUBTS: &str = "To be settled first";
    pub const ZONES: &str = "Zone schedule";
    pub const HEARD: &str = "How each device is heard";
    pub const OTHERS: &str = "Keypads, sirens and repeaters";
    pub const PORTABLES: &str = "Portable transmitters";
    pub const DELAYS: &str = "Delays";
    pub const BATTERY: &str = "Battery";
    pub const REQUIREMENTS: &str = "What codes ask of the battery";
    pub const TESTS: &str = "Test sheet";
    pub const STEPS: &str = "How each device is tried";
    pub const NOTES: &str = "Notes";
    pub const SIGN: &str = "Tested and handed over";
    pub const INSTALLER: &str = "Installer, signature and date";
    pub const CUSTOMER: &str = "Customer, signature and date";
    pub const NUMBER: &str = "No.";
    pub const NAME: &str = "Name";
    pub const ROOM: &str = "Room";
    pub const DEVICE: &str = "Device";
    pub const ROLE: &str = "Role";
    pub const RESPONSE: &str = "Response";
    pub const SUPERVISED: &str = "Supervised";
    pub const ACTIVE: &str = "Active when";
    pub const ENTRY_DELAY: &str = "Entry delay";
    pub const MARGIN: &str = "Margin dB";
    pub const FINDING: &str = "Finding";
    pub const VIA: &str = "Via";
    pub const KIND: &str = "Kind";
    pub const WORKS_IN: &str = "Works in";
    pub const WORN: &str = "Worn";
    pub const ENTRY: &str = "Entry door";
    pub const WALK: &str = "Walk m";
    pub const WALK_TIME: &str = "Walk s";
    pub const NEEDED: &str = "Needed s";
    pub const SET: &str = "Set s";
    pub const EXIT_DELAY: &str = "Exit delay";
    pub const DOCUMENT: &str = "Document";
    pub const FOR_WHAT: &str = "For";
    pub const STANDBY: &str = "Standby h";
    pub const ALARM: &str = "Alarm min";
    pub const FACTOR: &str = "Factor";
    pub const NEEDED_AH: &str = "Needs Ah";
    pub const TRIPS: &str = "Trips";
    pub const RESTORES: &str = "Restores";
    pub const TAMPER: &str = "Tamper";
    pub const EXPECTED: &str = "Foretold dBm";
    pub const RANGE: &str = "Nine in ten dBm";
    pub const READ_AT: &str = "Read at";
    pub const READING: &str = "Reading dBm";
    pub const ALARM_LOAD: &str = "Alarm load";
    pub const STANDBY_LOAD: &str = "Standby load";
    pub const REQUIRED: &str = "Asked for";
    pub const CONDITIONS: &str = "Counted for";
    pub const CAPACITY_NEEDED: &str = "Capacity needed";
    pub const BATTERY_FITTED: &str = "Battery fitted";
    pub const LASTS: &str = "It lasts";
    pub const SOURCE: &str = "How far confirmed";
}

/// The word for a role.
#[must_use]
pub const fn role(role: Role) -> &'static str {
    match role {
        Role::EntryExit => "entry/exit door",
        Role::Perimeter => "perimeter",
        Role::Interior => "interior follower",
        Role::AroundTheClock => "24-hour",
        Role::Fire => "fire",
        Role::CarbonMonoxide => "carbon monoxide",
        Role::Medical => "medical",
        Role::Panic => "panic",
    }
}

/// The word for a response.
#[must_use]
pub const fn response(response: Response) -> &'static str {
    match response {
        Response::Instant => "instant",
        Response::Delayed => "delayed",
        Response::Follows => "follows",
        Response::AlwaysOn => "always on",
    }
}

/// The words for when a device counts.
#[must_use]
pub const fn active(active: Active) -> &'static str {
    match active {
        Active::Always => "always",
        Active::Armed => "out and home",
        Active::EveryoneOut => "out only",
    }
}

/// Yes or no.
#[must_use]
pub const fn yes_no(yes: bool) -> &'static str {
    if yes { "yes" } else { "no" }
}

/// The word for a finding.
#[must_use]
pub const fn finding(finding: Finding) -> &'static str {
    finding.word()
}

const fn sort(sort: Sort) -> &'static str {
    match sort {
        Sort::Contact => "a contact",
        Sort::Motion => "a motion detector",
        Sort::GlassBreak => "a glass-break detector",
        Sort::Shock => "a shock sensor",
        Sort::Smoke => "a smoke detector",
        Sort::Heat => "a heat detector",
        Sort::CarbonMonoxide => "a carbon-monoxide detector",
        Sort::Leak => "a leak detector",
        Sort::Button => "a button",
        Sort::Other => "a device of unknown sort",
    }
}

/// Words for a sort of device on the test sheet.
#[must_use]
pub const fn step_name(step: TestStep) -> &'static str {
    match step {
        TestStep::Sensor(Sort::Contact) => "Contacts",
        TestStep::Sensor(Sort::Motion) => "Motion detectors",
        TestStep::Sensor(Sort::GlassBreak) => "Glass-break detectors",
        TestStep::Sensor(Sort::Shock) => "Shock sensors",
        TestStep::Sensor(Sort::Smoke) => "Smoke detectors",
        TestStep::Sensor(Sort::Heat) => "Heat detectors",
        TestStep::Sensor(Sort::CarbonMonoxide) => "Carbon-monoxide detectors",
        TestStep::Sensor(Sort::Leak) => "Leak detectors",
        TestStep::Sensor(Sort::Button) => "Buttons",
        TestStep::Sensor(Sort::Other) => "Other devices",
        TestStep::Keypad => "Keypads",
        TestStep::Siren => "Sirens",
        TestStep::Repeater => "Repeaters",
    }
}

/// How a device is tried and what to see.
#[must_use]
pub const fn step(step: TestStep) -> &'static str {
    match step {
        TestStep::Sensor(Sort::Contact) => {
            "Open the door or window by a hand's width: the panel shows the zone open. Close it: \
             the zone is shown closed. Open the case: tamper."
        }
        TestStep::Sensor(Sort::Motion) => {
            "Leave the room still for some minutes, then walk across: the zone trips. Stand still: \
             it restores. Open the case: tamper."
        }
        TestStep::Sensor(Sort::GlassBreak) => {
            "Use a glass-break tester at the farthest pane: the zone trips, then restores. Open the \
             case: tamper."
        }
        TestStep::Sensor(Sort::Shock) => {
            "Strike the frame with the flat of the hand: the zone trips, then restores. Open the \
             case: tamper."
        }
        TestStep::Sensor(Sort::Smoke | Sort::Heat) => {
            "Use the test button and the maker's test method: fire alarm at the panel. Reset. Take \
             it off its base: tamper or trouble."
        }
        TestStep::Sensor(Sort::CarbonMonoxide) => {
            "Use the test button: carbon-monoxide alarm at the panel, told from fire. Reset. Take \
             it off its base: tamper or trouble."
        }
        TestStep::Sensor(Sort::Leak) => {
            "Bridge the contacts with a damp cloth: alarm at the panel. Dry them: it restores. Open \
             the case: tamper."
        }
        TestStep::Sensor(Sort::Button) => {
            "Press as the instructions say: alarm at the panel, silent if so programmed. Reset. Open \
             the case: tamper, where it has one."
        }
        TestStep::Sensor(Sort::Other) => {
            "Trip it as its instructions say: the panel shows the zone. Restore it. Open the case: \
             tamper."
        }
        TestStep::Keypad => {
            "Arm and disarm: the keypad follows within a few seconds. Take it off its base: tamper."
        }
        TestStep::Siren => "Sound it briefly from the panel and stop it. Open the case: tamper.",
        TestStep::Repeater => {
            "Take its mains supply away: the panel tells so, and its devices are still heard. Open \
             the case: tamper."
        }
    }
}

/// A number of seconds.
#[must_use]
pub fn seconds(seconds: f64) -> String {
    format!("{seconds:.0} s")
}

/// The entry that leads nowhere.
#[must_use]
pub fn unreached(entry: &str) -> String {
    format!("entry {entry} leads to no place before the panel, so its walk is not counted")
}

/// What is doubtful about a battery.
#[must_use]
pub fn battery_doubts(row: &BatteryRow) -> Vec<String> {
    let mut doubts = Vec::new();
    if let (Some(false), Some(rated), Some(hours)) = (row.is_enough, row.rated_ah, row.standby_h) {
        doubts.push(format!(
            "a battery of {rated} Ah lasts {hours:.1} h, less than the {} h that are asked for; \
             {:.1} Ah are needed",
            row.required_standby_h,
            up(row.needed_ah)
        ));
    }
    if row.is_faster {
        doubts.push(
            "the standby load empties the battery in less than the 20 h for which its capacity is \
             stated, so it lasts less than is counted here; ask its data sheet"
                .to_owned(),
        );
    }
    doubts
}

/// A capacity rounded up to a tenth.
#[must_use]
pub fn up(ah: f64) -> f64 {
    ((ah * 10.0 - 1e-6).ceil() / 10.0).max(0.0)
}

/// What is wrong or doubtful, and how to mend it.
#[must_use]
pub fn concern(concern: &Concern) -> String {
    let name = &concern.name;
    let proposed = |proposal: Option<Role>| match proposal {
        Some(role) => format!("\"{}\" would suit it", role.word()),
        None => "give it one".to_owned(),
    };
    match &concern.matter {
        Matter::NumberTwice { number, first } => format!(
            "{name}: {first} has the number {number}, too; give each device a number of its own"
        ),
        Matter::LifeUnsupervised(role) => format!(
            "{name}: a device with the role \"{}\" must be supervised; take \"supervised\": false out",
            role.word()
        ),
        Matter::RoleAgainstDevice { role, sort: what, suits } => format!(
            "{name}: {} cannot have the role \"{}\"; {}",
            sort(*what),
            role.word(),
            proposed(*suits)
        ),
        Matter::OddRole { role, sort: what, suits } => format!(
            "{name}: the role \"{}\" is unusual for {}; {}",
            role.word(),
            sort(*what),
            proposed(*suits)
        ),
        Matter::NoRole(proposal) => format!("{name}: it has no role; {}", proposed(*proposal)),
        Matter::UnknownRole { word, proposal } => {
            format!("{name}: the role \"{word}\" is not known; {}", proposed(*proposal))
        }
        Matter::RoleOnOther(kind) => {
            format!("{name}: a {} is no zone, so its role does nothing; take it out", kind.word())
        }
        Matter::NoNumber => {
            format!("{name}: it has no number; give it one, or let --number fill it in")
        }
        Matter::FarFromEntry(Some(near)) => format!(
            "{name}: its role is \"entry-exit\", but the nearest door marked \"entry\" ({}) is \
             {:.1} m away; mark its own door, or make it \"perimeter\"",
            near.entry, near.distance_m
        ),
        Matter::FarFromEntry(None) => format!(
            "{name}: its role is \"entry-exit\", but no door of its level is marked \"entry\"; mark \
             its own door, or make it \"perimeter\""
        ),
        Matter::EntryWithoutDevice(Some(instant)) => format!(
            "{name}: people come in by it, but {instant} there is instant: it gives them no time; \
             make that device \"entry-exit\""
        ),
        Matter::EntryWithoutDevice(None) => format!(
            "{name}: people come in by it, but no entry-exit device is there to start the entry \
             delay"
        ),
        Matter::NothingDelayed => {
            "no device has the role \"entry-exit\", so nothing gives people time to disarm"
                .to_owned()
        }
        Matter::Unsupervised => format!(
            "{name}: it is not supervised, so nobody would notice if it fell silent; supervise \
             whatever is fixed in its place"
        ),
    }
}

/// What stands above a file of readings that is to be filled in.
#[must_use]
pub fn readings_head(plan: &str, date: &str) -> [String; 4] {
    [
        format!("Test sheet of {plan}, {date}."),
        "Write what the panel shows: level_dbm, or bars, or percent; heard is yes or no.".to_owned(),
        "Doors closed, nobody beside the device. The column at names a repeater; empty is the panel."
            .to_owned(),
        "Lines with # are not read; take out the line of a device that was not tried.".to_owned(),
    ]
}

/// What stands above a device's line. It begins with words of its own, lest a device's name be taken
/// for something that the reader of readings knows.
#[must_use]
pub fn readings_line(row: &super::handover::TestSheetRow) -> String {
    let number =
        row.number.map_or_else(|| "no number".to_owned(), |number| format!("no. {number}"));
    format!(
        "{number}, {}: foretold {:.0} dBm, nine in ten from {:.0} to {:.0} dBm",
        row.name, row.expected_dbm, row.low_dbm, row.high_dbm
    )
}

/// Sentences of the document.
pub mod sentences {
    /// Below the zone schedule.
    pub const ZONES: &str = "Delayed: starts the entry delay. Instant: alarm at once. Follows: waits while \
         an entry or exit delay runs, else alarm at once. Always on: alarm at once, armed or not. Out: armed \
         with everyone out; home: armed with people at home. A role with a question mark is a proposal: the plan gives none.";
    /// Below the delays.
    pub const DELAYS: &str = "Needed: the walk from the door to the panel and the time to disarm it, in steps \
         of 5 s. Set: at least the usual 30 s to come in and 60 s to go out (common practice, no source); \
         the exit delay is never less than the longest entry delay.";
    /// Where no load was given.
    pub const NO_BATTERY: &str = "Not worked out: what the panel draws was not given (--standby-ma, \
         --alarm-ma; --battery-ah for the battery that is fitted).";
    /// Below the battery.
    pub const BATTERY: &str = "Capacity falls to 80 % in five years and with cold as a lead-acid battery's \
         does (IEEE 450 and 485, from memory, not confirmed). The loads are the panel's own figures.";
    /// Below the requirements.
    pub const REQUIREMENTS: &str = "None of these documents was opened for this sheet; ask the authority that \
         has jurisdiction which of them holds.";
    /// Above the test sheet.
    pub const TESTS: &str = "Put the panel into its test mode. Try each device with the doors closed and note \
         the level that the panel shows. Nine readings in ten should lie within the range; one outside it is \
         to be looked into before the job is signed.";
    /// Below the test sheet.
    pub const READ_BACK: &str =
        "The same sheet as CSV is to be filled in for `drillonce diagnose`.";
    /// In the foot of the pages.
    pub const FOOTER: &str = "An estimate, to be confirmed by test";
    /// Between two numbers of pages.
    pub const PAGE_OF: &str = "of";
}

/// Which numbers are free.
#[must_use]
pub fn free_numbers(gaps: &[(u32, u32)]) -> Option<String> {
    let runs: Vec<String> = gaps
        .iter()
        .map(
            |(first, last)| {
                if first == last { first.to_string() } else { format!("{first}–{last}") }
            },
        )
        .collect();
    (!runs.is_empty()).then(|| format!("Free numbers: {}.", runs.join(", ")))
}

/// How many devices were numbered.
#[must_use]
pub fn numbered(count: usize) -> Option<String> {
    match count {
        0 => None,
        1 => Some("The number of 1 device was filled in.".to_owned()),
        many => Some(format!("The numbers of {many} devices were filled in.")),
    }
}

/// How the panel is called in a table, where a device goes straight to it.
pub const STRAIGHT: &str = "panel";

/// Columns of the zone schedule in the terminal.
pub const TABLE_HEADER: [&str; 9] =
    ["no", "name", "role", "response", "active when", "entry", "margin dB", "finding", "via"];

/// What stands above the table.
#[must_use]
pub fn headline(report: &HandoverReport) -> String {
    format!(
        "{}, {}: {} zones, panel \"{}\" on level {}, link {}",
        report.plan,
        report.date,
        report.zones.len(),
        report.panel_name,
        report.panel_level,
        report.model.link
    )
}

/// Numbers, delays and battery in a few lines.
#[must_use]
pub fn summary(report: &HandoverReport) -> Vec<String> {
    let mut lines = Vec::new();
    lines.extend(numbered(report.numbered.len()));
    lines.extend(free_numbers(&report.free_numbers));
    let delays = &report.delays;
    if let (Some(entry), Some(exit)) = (delays.entry_s, delays.exit_s) {
        lines.push(format!("Entry delay {entry:.0} s, exit delay {exit:.0} s."));
    }
    if let Some(battery) = &report.battery {
        let lasts = match (battery.rated_ah, battery.standby_h) {
            (Some(rated), Some(hours)) => format!("; {rated} Ah last {hours:.1} h"),
            _ => String::new(),
        };
        lines.push(format!(
            "Battery: {:.1} Ah for {} h and {} min of alarm at {} °C and {} years{lasts}.",
            up(battery.needed_ah),
            battery.required_standby_h,
            battery.alarm_min,
            battery.temperature_c,
            battery.age_years
        ));
    }
    lines
}
