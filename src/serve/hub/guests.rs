//! Who is here, who may do what, and how another device is invited.

use std::sync::Arc;

use serde_json::json;

use super::Hub;
use crate::message::{Asked, Refusal};
use crate::outbox::Slot;
use crate::outbox::TabNumber;
use crate::share::{May, Share, modules};
use crate::state::{State, Tab};

/// The kinds of the messages about guests.
const PRESENT: Slot = Slot::Answer("present");
const INVITED: Slot = Slot::Answer("invited");

impl Hub {
    /// The same where another device may be let in.
    #[must_use]
    pub fn shared_by(self, share: Option<Arc<Share>>) -> Self {
        Self { share, ..self }
    }

    /// Whether a page may do what it asks for; if not, it is said why. One whose key was withdrawn
    /// is not even answered.
    pub(super) fn may(&self, number: TabNumber, asked: &Asked) -> bool {
        let state = self.state();
        let Some(tab) = state.tabs.get(&number) else { return false };
        let Some(guest) = &tab.guest else { return true };
        if guest.is_over() {
            return false;
        }
        if is_open_to(guest.may, asked) {
            return true;
        }
        let seq = match asked {
            Asked::Edit { seq, .. } | Asked::Try { seq, .. } => Some(*seq),
            _ => None,
        };
        let why = match guest.may {
            May::Reading => Refusal::new(
                "this device may read the plan, not change, save or take it",
                "ask at the desk for a key to edit",
            ),
            May::Editing => Refusal::new("this device is a guest", "do it at the desk"),
        };
        state.refuse(number, seq, &why);
        false
    }

    /// Makes a key for another device, shown to the page that asked for it, once.
    pub(super) fn invite(&self, state: &State, number: TabNumber, may: May) {
        let Some(share) = &self.share else {
            let why = Refusal::new("the page is not shared", "start the program with --share");
            return state.refuse(number, None, &why);
        };
        match share.invite(may) {
            Ok(invitation) => {
                let row = |row: &Vec<bool>| {
                    row.iter().map(|dark| if *dark { '1' } else { '0' }).collect::<String>()
                };
                let code: Vec<_> = modules(&invitation.address).iter().map(row).collect();
                let members =
                    json!({ "address": invitation.address, "code": code, "may": may.word() });
                state.to_one(number, INVITED, &state.note("invited", members));
                self.say_who_is_here(state);
            }
            Err(why) => {
                let why = Refusal::new(format!("no key can be made: {why}"), "try again");
                state.refuse(number, None, &why);
            }
        }
    }

    /// Withdraws the key of the other device.
    pub(super) fn withdraw(&self, state: &State) {
        if let Some(share) = &self.share {
            share.withdraw();
            self.say_who_is_here(state);
        }
    }

    /// Says to all pages who is here, where guests may come.
    pub(super) fn say_who_is_here(&self, state: &State) {
        let Some(share) = &self.share else { return };
        let is_here = |tab: &&Tab| tab.guest.as_ref().is_none_or(|guest| !guest.is_over());
        let here = || state.tabs.values().filter(is_here);
        let guests = here().filter(|tab| tab.guest.is_some()).count();
        let desks = here().count() - guests;
        let given = share.given();
        for tab in here() {
            let you = tab.guest.as_ref().map_or("desk", |guest| guest.may.word());
            let mut members = json!({ "you": you, "desks": desks, "guests": guests });
            if tab.guest.is_none() {
                members["shared"] = json!({
                    "at": format!("{}{}/", share.scheme(), share.address()),
                    "fingerprint": share.fingerprint(),
                    "may": given.as_ref().map(|given| given.may.word()),
                    "used": given.as_ref().map(|given| given.is_used()),
                });
            }
            tab.outbox.put(PRESENT, state.note("present", members));
        }
    }
}

/// Whether a guest may ask for something: what is not named here is for the desk alone, or for
/// those who may edit.
const fn is_open_to(may: May, asked: &Asked) -> bool {
    match asked {
        Asked::Share { .. } | Asked::Withdraw {} => false,
        Asked::Hello { .. }
        | Asked::Language { .. }
        | Asked::Map { .. }
        | Asked::Explain { .. }
        | Asked::Spots {}
        | Asked::Repeaters {}
        | Asked::Measure { .. }
        | Asked::Drop {} => true,
        _ => matches!(may, May::Editing),
    }
}
