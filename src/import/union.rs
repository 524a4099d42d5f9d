//! Things that are put into groups two by two.

/// The one by which a group is called; on the way each is set to the one after the next, which
/// keeps ways short.
pub(crate) fn root(groups: &mut [usize], mut here: usize) -> usize {
    while groups[here] != here {
        groups[here] = groups[groups[here]];
        here = groups[here];
    }
    here
}
