//! How a device is heard, and by what.

/// How a device is heard.
#[derive(Debug, Clone, Default, PartialEq)]
pub enum Link {
    /// Nothing is shown.
    #[default]
    NotShown,
    /// The panel hears it directly: a thin line.
    Direct(LinkEnd),
    /// A repeater hears it: a dotted line.
    OverRepeater(LinkEnd),
    /// It is a repeater, which the panel or another repeater hears: a heavy double line.
    RepeaterToPanel(LinkEnd),
    /// Nothing hears it: the mark is crossed out, and its label says so.
    NotHeard,
}

/// The far end of a link.
#[derive(Debug, Clone, PartialEq)]
pub enum LinkEnd {
    /// On this level, metres. If a mark stands there, the line ends at that mark.
    Here([f64; 2]),
    /// On another level: a short stub with an arrow is drawn, and the device's label says where to.
    Elsewhere {
        /// Direction of the stub on the plan, of any length; zero for straight up the page.
        towards: [f64; 2],
        /// Where to, such as "to Upstairs".
        text: String,
    },
}
