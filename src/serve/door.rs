//! Who is let in: only a page that this program gave out, to a browser on this machine or to the
//! device of a guest.

use std::io;
use std::net::SocketAddr;
use std::sync::Arc;

use axum::extract::{Request, State};
use axum::http::{HeaderMap, HeaderName, HeaderValue, Method, StatusCode, header};
use axum::middleware::Next;
use axum::response::{IntoResponse as _, Response};
use base64::Engine as _;
use base64::engine::general_purpose::URL_SAFE_NO_PAD;

use crate::share::Given;

/// What every answer says of itself.
const HEADERS: [(HeaderName, HeaderValue); 6] = [
    (
        header::CONTENT_SECURITY_POLICY,
        HeaderValue::from_static(
            "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self' data: blob:; \
             connect-src 'self'; base-uri 'none'; form-action 'none'; frame-ancestors 'none'",
        ),
    ),
    (header::X_CONTENT_TYPE_OPTIONS, HeaderValue::from_static("nosniff")),
    (header::REFERRER_POLICY, HeaderValue::from_static("no-referrer")),
    (header::CACHE_CONTROL, HeaderValue::from_static("no-store")),
    (
        HeaderName::from_static("cross-origin-opener-policy"),
        HeaderValue::from_static("same-origin"),
    ),
    (
        HeaderName::from_static("cross-origin-resource-policy"),
        HeaderValue::from_static("same-origin"),
    ),
];

/// The names by which the page may be called: a fixed list, since a foreign name that leads here
/// controls both Host and Origin.
#[derive(Debug, Clone)]
pub struct Door {
    hosts: Vec<String>,
    scheme: &'static str,
    key: Key,
}

/// The key of a door.
#[derive(Clone)]
enum Key {
    /// That of the machine on which the program runs.
    Desk(String),
    /// That of a guest.
    Guest(Arc<Given>),
}

impl std::fmt::Debug for Key {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.write_str(if matches!(self, Self::Desk(_)) { "Desk" } else { "Guest" })
    }
}

impl Door {
    /// The door of a port, with its key.
    #[must_use]
    pub fn new(port: u16, key: String) -> Self {
        let hosts = vec![format!("127.0.0.1:{port}"), format!("localhost:{port}")];
        Self { hosts, scheme: "http://", key: Key::Desk(key) }
    }

    /// The door of an address in the local network, with the key that was given out.
    pub(crate) fn for_guests(scheme: &'static str, address: SocketAddr, given: Arc<Given>) -> Self {
        Self { hosts: vec![address.to_string()], scheme, key: Key::Guest(given) }
    }

    /// Lets a page in that shows the key: a guest's key is what it came by. `secret` is the page's
    /// own, by which a guest's device is known again.
    pub(crate) fn lets_in(
        &self,
        key: &str,
        secret: &str,
    ) -> Result<Option<Arc<Given>>, &'static str> {
        match &self.key {
            Key::Desk(own) if same(own, key) => Ok(None),
            Key::Desk(_) => Err("this is not the key"),
            Key::Guest(given) => given.lets_in(key, secret).map(|()| Some(given.clone())),
        }
    }

    /// Why a request is turned away, if it is.
    fn turns_away(&self, request: &Request) -> Option<StatusCode> {
        let headers = request.headers();
        let (Some(host), Some(origin)) =
            (once(headers, &header::HOST), once(headers, &header::ORIGIN))
        else {
            return Some(StatusCode::BAD_REQUEST);
        };
        if !host.is_some_and(|host| self.hosts.iter().any(|own| own == host)) {
            return Some(StatusCode::MISDIRECTED_REQUEST);
        }
        if request.uri().authority().is_some_and(|other| Some(other.as_str()) != host) {
            return Some(StatusCode::MISDIRECTED_REQUEST);
        }
        let is_socket = headers.contains_key(header::UPGRADE);
        let own = origin.and_then(|origin| origin.strip_prefix(self.scheme));
        let is_own = own.is_some() && own == host;
        if !is_own && (origin.is_some() || is_socket) {
            return Some(StatusCode::FORBIDDEN);
        }
        (request.method() != Method::GET).then_some(StatusCode::METHOD_NOT_ALLOWED)
    }
}

/// The text of a header, if it is there; nothing at all where it is there twice or is no text.
fn once<'h>(headers: &'h HeaderMap, name: &HeaderName) -> Option<Option<&'h str>> {
    let mut all = headers.get_all(name).iter();
    match (all.next(), all.next()) {
        (None, _) => Some(None),
        (Some(value), None) => value.to_str().ok().map(Some),
        _ => None,
    }
}

/// Whether a secret is the right one; how long that takes does not depend on how much of it is.
pub(crate) fn same(own: &str, other: &str) -> bool {
    let (own, other) = (own.as_bytes(), other.as_bytes());
    let differing = own.iter().zip(other).fold(0, |all, (a, b)| all | (a ^ b));
    own.len() == other.len() && differing == 0
}

/// 128 bits that nobody can guess.
pub(crate) fn random_name() -> io::Result<String> {
    let mut bytes = [0; 16];
    getrandom::fill(&mut bytes).map_err(io::Error::other)?;
    Ok(URL_SAFE_NO_PAD.encode(bytes))
}

/// Lets a request in or turns it away, and gives every answer its headers.
pub async fn guard(State(door): State<Door>, request: Request, next: Next) -> Response {
    let mut response = match door.turns_away(&request) {
        Some(status) => status.into_response(),
        None => next.run(request).await,
    };
    for (name, value) in HEADERS {
        // What was taken away may do even less than the page.
        response.headers_mut().entry(name).or_insert(value);
    }
    response
}
