//! A page for one more device in the same network: its own port, its own key, its own certificate.
//!
//! The desk's page stays on this machine alone. A guest comes by another listener that knows
//! another key, which holds for the first device that shows it and can be withdrawn.

mod code;
mod host;
mod network;
mod secure;

use std::fmt;
use std::io;
use std::net::{IpAddr, SocketAddr, TcpListener};
use std::sync::{Arc, Mutex, MutexGuard, PoisonError};

use serde::Deserialize;
use tokio::sync::watch;
use tokio_rustls::TlsAcceptor;

use crate::door::{Door, random_name, same};

pub use code::{half_blocks, modules};
pub use host::host;
pub use network::{ShareError, chosen, is_local, own_address};

/// Bounds of the secret that a device makes for itself, characters.
const SECRET: std::ops::RangeInclusive<usize> = 22..=64;

/// What a guest may do.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum May {
    /// See the plan and ask.
    Reading,
    /// Change it, save it and take papers away, too.
    Editing,
}

impl May {
    /// Its word.
    #[must_use]
    pub const fn word(self) -> &'static str {
        match self {
            Self::Reading => "reading",
            Self::Editing => "editing",
        }
    }
}

/// The listener for guests, its certificate, and the key that holds at present.
pub struct Share {
    listener: TcpListener,
    address: SocketAddr,
    /// What encrypts, with the fingerprint of its certificate; nothing where all is plain.
    secure: Option<(TlsAcceptor, String)>,
    given: Mutex<Option<Arc<Given>>>,
}

impl fmt::Debug for Share {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.debug_struct("Share").field("address", &self.address).finish_non_exhaustive()
    }
}

/// What is shown once, so that a phone can come in.
#[derive(Clone)]
pub struct Invitation {
    /// The address with the key.
    pub address: String,
    /// What the guest may do.
    pub may: May,
}

impl fmt::Debug for Invitation {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.debug_struct("Invitation").field("may", &self.may).finish_non_exhaustive()
    }
}

impl Share {
    /// Listens on an address of the local network, or of this machine alone: with a certificate
    /// made for this run, or, if it `is_plain`, without, so that others in the network may read and
    /// change all that is sent. Nobody is let in before somebody is invited.
    ///
    /// # Errors
    /// The address is no local one, or the system refuses it.
    pub fn open(address: IpAddr, is_plain: bool) -> Result<Self, ShareError> {
        if !is_local(address) && !address.is_loopback() {
            return Err(ShareError::Public(address));
        }
        let refused = |why| ShareError::Listen { address, why };
        let listener = TcpListener::bind((address, 0)).map_err(refused)?;
        listener.set_nonblocking(true).map_err(refused)?;
        let secure = (!is_plain).then(|| secure::certified(address)).transpose()?;
        let address = listener.local_addr().map_err(refused)?;
        Ok(Self { listener, address, secure, given: Mutex::default() })
    }

    /// Where it listens.
    #[must_use]
    pub const fn address(&self) -> SocketAddr {
        self.address
    }

    /// What its addresses begin with.
    #[must_use]
    pub const fn scheme(&self) -> &'static str {
        if self.secure.is_some() { "https://" } else { "http://" }
    }

    /// The SHA-256 of the certificate, as browsers show it, if there is one.
    #[must_use]
    pub fn fingerprint(&self) -> Option<&str> {
        self.secure.as_ref().map(|(_, fingerprint)| fingerprint.as_str())
    }

    /// Makes a new key; the one before holds no longer.
    ///
    /// # Errors
    /// The system has no random numbers.
    pub fn invite(&self, may: May) -> io::Result<Invitation> {
        let key = random_name()?;
        let address = format!("{}{}/#{key}", self.scheme(), self.address);
        let (ended, _) = watch::channel(false);
        self.replace(Some(Arc::new(Given { key, may, device: Mutex::default(), ended })));
        Ok(Invitation { address, may })
    }

    /// Ends the key that holds, and every connection that came by it.
    pub fn withdraw(&self) {
        self.replace(None);
    }

    /// The key that holds.
    pub(crate) fn given(&self) -> Option<Arc<Given>> {
        lock(&self.given).clone()
    }

    fn replace(&self, new: Option<Arc<Given>>) {
        let old = std::mem::replace(&mut *lock(&self.given), new);
        if let Some(old) = old {
            old.ended.send_replace(true);
        }
    }

    fn door(&self, given: Arc<Given>) -> Door {
        Door::for_guests(self.scheme(), self.address, given)
    }
}

/// A key that was given out.
pub(crate) struct Given {
    key: String,
    pub(crate) may: May,
    /// The secret of the device that came first.
    device: Mutex<Option<String>>,
    ended: watch::Sender<bool>,
}

impl fmt::Debug for Given {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.debug_struct("Given").field("may", &self.may).finish_non_exhaustive()
    }
}

impl Given {
    /// Lets a device in that shows the key: the first one, and from then on no other. `secret` is
    /// the device's own, by which it is known again after the page was loaded anew.
    pub(crate) fn lets_in(&self, key: &str, secret: &str) -> Result<(), &'static str> {
        if self.is_over() || !same(&self.key, key) {
            return Err("this is not the key");
        }
        if !SECRET.contains(&secret.len()) {
            return Err("this page names no secret of its own");
        }
        let mut device = lock(&self.device);
        match &*device {
            Some(first) if !same(first, secret) => Err("this key is in use on another device"),
            Some(_) => Ok(()),
            None => {
                *device = Some(secret.to_owned());
                Ok(())
            }
        }
    }

    /// Whether it was withdrawn.
    pub(crate) fn is_over(&self) -> bool {
        *self.ended.borrow()
    }

    /// Whether a device has come by it.
    pub(crate) fn is_used(&self) -> bool {
        lock(&self.device).is_some()
    }

    fn ended(&self) -> watch::Receiver<bool> {
        self.ended.subscribe()
    }
}

/// Waits until something is over.
pub(crate) async fn over(ended: &mut watch::Receiver<bool>) {
    // Nobody can say it any more where the sender is gone: then it is over, too.
    let _ = ended.wait_for(|is_over| *is_over).await;
}

fn lock<T>(it: &Mutex<T>) -> MutexGuard<'_, T> {
    // A key is put in or taken out as a whole.
    it.lock().unwrap_or_else(PoisonError::into_inner)
}
