//! `serve --share`: the page for one phone in the same network, after a warning.

use std::io::{self, IsTerminal as _, Write as _};
use std::net::IpAddr;
use std::sync::Arc;

use clap::{Args, ValueEnum};

use super::super::error::CommandError;
use super::super::progress::complain;
use ::serve::{Invitation, May, Share, half_blocks, modules, own_address};

#[derive(Debug, Clone, Copy, ValueEnum)]
enum Sharing {
    /// The phone sees the plan and asks
    Reading,
    /// The phone changes the plan, saves it and takes papers away, too
    Editing,
}

impl From<Sharing> for May {
    fn from(sharing: Sharing) -> Self {
        match sharing {
            Sharing::Reading => Self::Reading,
            Sharing::Editing => Self::Editing,
        }
    }
}

#[derive(Debug, Args)]
pub(super) struct GuestOptions {
    /// Let one phone in the same network open the page, too: a port is opened on this machine's
    /// address in that network, with a certificate made for this run and a key that holds for one
    /// device (shown as a QR code here and on the page, where it is withdrawn)
    #[arg(
        long,
        value_name = "reading|editing",
        value_enum,
        num_args = 0..=1,
        require_equals = true,
        default_missing_value = "reading",
        hide_possible_values = true
    )]
    share: Option<Sharing>,
    /// Share without encryption, for phones that let no page connect whose certificate they do not
    /// know (iPhones and iPads): others in the network can then read and change what is sent
    #[arg(long, requires = "share")]
    share_plain: bool,
    /// The address to open the port on, where this machine has several; never a public one
    #[arg(long, value_name = "ADDRESS", requires = "share")]
    share_address: Option<IpAddr>,
}

impl GuestOptions {
    /// The listener for a phone, if one is asked for; the warning comes before it listens.
    pub(super) fn opened(&self) -> Result<Option<Arc<Share>>, CommandError> {
        let Some(sharing) = self.share else { return Ok(None) };
        let usage = |error: ::serve::ShareError| CommandError::Usage(error.to_string());
        let address = own_address(self.share_address).map_err(usage)?;
        warn(address, sharing, self.share_plain);
        Share::open(address, self.share_plain).map(|share| Some(Arc::new(share))).map_err(usage)
    }

    /// Shows the key, once, to who sits before the terminal; never to a file.
    pub(super) fn invite(&self, share: &Share) {
        let Some(sharing) = self.share else { return };
        if let Some(fingerprint) = share.fingerprint() {
            complain(&format!("The certificate's SHA-256 fingerprint: {fingerprint}"));
        }
        if !io::stderr().is_terminal() {
            return complain("No terminal shows this: make the phone's key on the page, A phone.");
        }
        match share.invite(sharing.into()) {
            Ok(invitation) => show(&invitation),
            Err(why) => complain(&format!("No key can be made: {why}; make one on the page.")),
        }
    }
}

fn warn(address: IpAddr, sharing: Sharing, is_plain: bool) {
    complain(&format!("Warning: --share opens a port of this machine on {address}."));
    if address.is_loopback() {
        complain("  That address leads here only, for a trial: no phone reaches it.");
    } else {
        complain("  Everybody in that network reaches it. Share in a network that you trust only.");
    }
    complain(match sharing {
        Sharing::Reading => {
            "  The first device that shows the key sees this plan. It cannot change or save it."
        }
        Sharing::Editing => {
            "  The first device that shows the key sees this plan, changes it, saves it in its \
             folder, and takes quotes and papers away."
        }
    });
    complain(if is_plain {
        "  NOTHING THAT IS SENT IS ENCRYPTED (--share-plain). Others in that network can read the \
         plan and the key, and change what either side is sent. Use it only in a network of your \
         own, such as your phone's hotspot with a password."
    } else {
        "  What is sent is encrypted. The phone does not know the certificate, which is made for \
         this run, and will warn of it. Before you go on there, open the certificate in its \
         warning and compare the fingerprint with the one below: if they differ, somebody in the \
         network stands between; go no further."
    });
}

/// The QR code, dark on light whatever the terminal's colours, and the address that it holds.
fn show(invitation: &Invitation) {
    let mut err = io::stderr().lock();
    for line in half_blocks(&modules(&invitation.address)) {
        // 256 colours: 16 is black, 231 is white.
        let _ = writeln!(err, "\x1b[38;5;16;48;5;231m{line}\x1b[0m");
    }
    let _ = writeln!(err, "{}", invitation.address);
    drop(err);
    complain("It is shown once and holds for one device. Withdraw it on the page: A phone.");
}
