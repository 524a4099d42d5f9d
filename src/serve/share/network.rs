//! Which address of this machine guests come to: one of a local network, never a public one.

use std::io;
use std::net::{IpAddr, Ipv4Addr, Ipv6Addr};

/// An address with the name of the interface that has it.
type Named = (String, IpAddr);

/// Why the page cannot be shared.
#[derive(Debug, thiserror::Error)]
pub enum ShareError {
    /// The address is no local one.
    #[error(
        "{0} is no address of a local network (10.0.0.0/8, 172.16.0.0/12, 192.168.0.0/16, \
         169.254.0.0/16, fc00::/7, fe80::/10): the page is not offered beyond it; give another \
         --share-address"
    )]
    Public(IpAddr),
    /// No browser takes the address.
    #[error(
        "{0} is good on one wire only, and no browser opens such an address; give another \
         --share-address"
    )]
    OneWire(IpAddr),
    /// This machine does not have the address.
    #[error("this machine has no address {0}; in local networks it has {1}")]
    NotOurs(IpAddr, String),
    /// There are several, and none was chosen.
    #[error("this machine has several addresses in local networks: {0}; choose --share-address")]
    Several(String),
    /// There is none.
    #[error(
        "this machine has no address in a local network; connect it to one, or leave --share out"
    )]
    NoNetwork,
    /// The system does not let it listen.
    #[error("cannot listen on {address}: {why}; give another --share-address")]
    Listen {
        /// Where.
        address: IpAddr,
        /// The system's answer.
        why: io::Error,
    },
    /// The certificate cannot be made.
    #[error("no certificate can be made: {0}")]
    Certificate(String),
}

/// Whether an address is one of a local network: 10/8, 172.16/12 and 192.168/16 (RFC 1918),
/// 169.254/16 (RFC 3927), `fc00::/7` (RFC 4193), `fe80::/10` (RFC 4291).
#[must_use]
pub const fn is_local(address: IpAddr) -> bool {
    match address {
        IpAddr::V4(address) => address.is_private() || address.is_link_local(),
        IpAddr::V6(address) => is_unique_local(address) || is_one_wire(address),
    }
}

const fn is_unique_local(address: Ipv6Addr) -> bool {
    address.segments()[0] & 0xfe00 == 0xfc00
}

const fn is_one_wire(address: Ipv6Addr) -> bool {
    address.segments()[0] & 0xffc0 == 0xfe80
}

/// The address of this machine on which guests are let in.
///
/// # Errors
/// That which is wanted is not local or not here, or none is wanted and there is not just one.
pub fn own_address(wanted: Option<IpAddr>) -> Result<IpAddr, ShareError> {
    let listen = |why| ShareError::Listen { address: Ipv4Addr::UNSPECIFIED.into(), why };
    let all = if_addrs::get_if_addrs().map_err(listen)?;
    let have: Vec<Named> = all.into_iter().map(|it| (it.name.clone(), it.ip())).collect();
    chosen(wanted, &have)
}

/// The same among the addresses that a machine has. The machine's own loop is taken only where it
/// is wanted: it leads to no other device.
///
/// # Errors
/// As for [`own_address`].
pub fn chosen(wanted: Option<IpAddr>, have: &[Named]) -> Result<IpAddr, ShareError> {
    if let Some(wanted) = wanted {
        if matches!(wanted, IpAddr::V6(address) if is_one_wire(address)) {
            return Err(ShareError::OneWire(wanted));
        }
        if !is_local(wanted) && !wanted.is_loopback() {
            return Err(ShareError::Public(wanted));
        }
        if have.iter().any(|(_, address)| *address == wanted) {
            return Ok(wanted);
        }
        let local: Vec<&Named> = have.iter().filter(|(_, it)| is_local(*it)).collect();
        return Err(ShareError::NotOurs(wanted, list(&local)));
    }
    // What a router gave out is meant before what a machine gave itself.
    let kinds: [fn(IpAddr) -> bool; 3] = [
        |it| matches!(it, IpAddr::V4(address) if address.is_private()),
        |it| matches!(it, IpAddr::V6(address) if is_unique_local(address)),
        |it| matches!(it, IpAddr::V4(address) if address.is_link_local()),
    ];
    for is_kind in kinds {
        let of: Vec<&Named> = have.iter().filter(|(_, address)| is_kind(*address)).collect();
        match of.as_slice() {
            [] => {}
            [(_, only)] => return Ok(*only),
            _ => return Err(ShareError::Several(list(&of))),
        }
    }
    Err(ShareError::NoNetwork)
}

fn list(addresses: &[&Named]) -> String {
    if addresses.is_empty() {
        return "none".to_owned();
    }
    let words = addresses.iter().map(|(name, address)| format!("{address} ({name})"));
    words.collect::<Vec<_>>().join(", ")
}
