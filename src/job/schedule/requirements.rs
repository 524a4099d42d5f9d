//! What published codes ask of a panel's battery.

/// One requirement.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Requirement {
    /// The document.
    pub document: &'static str,
    /// What it is for.
    pub for_what: &'static str,
    /// Standby, hours.
    pub standby_h: f64,
    /// Alarm after it, minutes; `None` where none was found.
    pub alarm_min: Option<f64>,
    /// By how much the capacity must exceed what is drawn; `None` where none was found.
    pub factor: Option<f64>,
    /// How far this was confirmed.
    pub source: &'static str,
}

/// Requirements that were found. None of the documents could be opened, so that each row says where
/// it was seen; which of them holds for a site, its own codes say.
pub const REQUIREMENTS: [Requirement; 6] = [
    Requirement {
        document: "NFPA 72 (2007), 11.6.2(2)",
        for_what: "household fire alarm system",
        standby_h: 24.0,
        alarm_min: Some(4.0),
        factor: None,
        source: "seen in a trade journal, the code itself not opened",
    },
    Requirement {
        document: "NFPA 72 (2022), 10.6",
        for_what: "fire alarm of protected premises, no voice evacuation",
        standby_h: 24.0,
        alarm_min: Some(5.0),
        factor: Some(1.25),
        source: "seen in trade journals and a study guide (1.20 in editions 2010 to 2019), the code \
                 itself not opened",
    },
    Requirement {
        document: "EN 50131-1",
        for_what: "intruder alarm of grade 1 or 2",
        standby_h: 12.0,
        alarm_min: None,
        factor: None,
        source: "seen on a supplier's page on the standard and in an installation manual, the standard \
                 itself not opened",
    },
    Requirement {
        document: "EN 50131-1",
        for_what: "intruder alarm of grade 3 or 4; 30 h where a mains fault is signalled",
        standby_h: 60.0,
        alarm_min: None,
        factor: None,
        source: "seen on a supplier's page on the standard and in an installation manual, the standard \
                 itself not opened",
    },
    Requirement {
        document: "PD 6662",
        for_what: "intruder alarm of grade 3 or 4, United Kingdom; 12 h where a mains fault is signalled",
        standby_h: 24.0,
        alarm_min: None,
        factor: None,
        source: "seen on a supplier's page only, edition not said, the document itself not opened",
    },
    Requirement {
        document: "BS 5839-1",
        for_what: "fire alarm of a building, not of a house",
        standby_h: 24.0,
        alarm_min: Some(30.0),
        factor: Some(1.25),
        source: "seen in suppliers' guides, the standard itself not opened",
    },
];
