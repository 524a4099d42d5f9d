//! A guest's device: it speaks TLS and takes only the certificate whose fingerprint it was shown.

use std::io::{Read as _, Write as _};
use std::net::{Ipv4Addr, SocketAddr, TcpStream};
use std::sync::Arc;
use std::time::Duration;

use serde_json::json;
use serve::{May, Share};
use tokio_rustls::rustls::client::danger::{
    HandshakeSignatureValid, ServerCertVerified, ServerCertVerifier,
};
use tokio_rustls::rustls::crypto::ring::default_provider;
use tokio_rustls::rustls::crypto::verify_tls13_signature;
use tokio_rustls::rustls::pki_types::{CertificateDer, ServerName, UnixTime};
use tokio_rustls::rustls::{
    ClientConfig, ClientConnection, DigitallySignedStruct, Error, SignatureScheme, StreamOwned,
};
use tungstenite::client::IntoClientRequest as _;

use crate::client::{Page, Served};

pub type Tls = StreamOwned<ClientConnection, TcpStream>;

/// The secrets of two devices.
pub const FIRST: &str = "0123456789abcdef0123456789abcdef";
pub const SECOND: &str = "fedcba9876543210fedcba9876543210";

/// A server that lets guests in.
pub struct Shared {
    pub served: Served,
    pub share: Arc<Share>,
}

impl Shared {
    pub fn new(plan: &str) -> Self {
        let share = Arc::new(Share::open(Ipv4Addr::LOCALHOST.into(), false).unwrap());
        Self { served: Served::shared(plan, share.clone()), share }
    }

    /// A new key.
    pub fn key(&self, may: May) -> String {
        let address = self.share.invite(may).unwrap().address;
        let begin = format!("https://{}/#", self.share.address());
        address.strip_prefix(&begin).unwrap().to_owned()
    }

    /// A guest's page that has said hello.
    pub fn page(&self, key: &str, secret: &str) -> Page<Tls> {
        let address = self.share.address();
        let mut request = format!("wss://{address}/live").into_client_request().unwrap();
        let headers = request.headers_mut();
        headers.insert("origin", format!("https://{address}").parse().unwrap());
        headers.insert("sec-websocket-protocol", serve::SUBPROTOCOL.parse().unwrap());
        let stream = connected(address, self.share.fingerprint().unwrap());
        let mut page = Page(tungstenite::client(request, stream).unwrap().0, String::new());
        page.say(&json!({"type": "hello", "key": key, "tab": "phone", "secret": secret}));
        page
    }

    /// What is answered to a guest's request.
    pub fn raw(&self, request: &str) -> String {
        let mut stream = connected(self.share.address(), self.share.fingerprint().unwrap());
        let mut answer = Vec::new();
        let _ = stream.write_all(request.as_bytes());
        let _ = stream.read_to_end(&mut answer);
        String::from_utf8_lossy(&answer).into_owned()
    }
}

/// A connection to what has the certificate of a fingerprint; others are not spoken to.
pub fn connected(address: SocketAddr, fingerprint: &str) -> Tls {
    let stream = TcpStream::connect(address).unwrap();
    stream.set_read_timeout(Some(Duration::from_secs(40))).unwrap();
    let provider = Arc::new(default_provider());
    let config = ClientConfig::builder_with_provider(provider)
        .with_safe_default_protocol_versions()
        .unwrap()
        .dangerous()
        .with_custom_certificate_verifier(Arc::new(Pinned(fingerprint.to_owned())))
        .with_no_client_auth();
    let name = ServerName::from(address.ip());
    StreamOwned::new(ClientConnection::new(Arc::new(config), name).unwrap(), stream)
}

#[derive(Debug)]
struct Pinned(String);

impl ServerCertVerifier for Pinned {
    fn verify_server_cert(
        &self,
        certificate: &CertificateDer<'_>,
        _: &[CertificateDer<'_>],
        _: &ServerName<'_>,
        _: &[u8],
        _: UnixTime,
    ) -> Result<ServerCertVerified, Error> {
        let digest = ring::digest::digest(&ring::digest::SHA256, certificate);
        let pairs: Vec<_> = digest.as_ref().iter().map(|byte| format!("{byte:02X}")).collect();
        let is_it = pairs.join(":") == self.0;
        is_it.then(ServerCertVerified::assertion).ok_or(Error::General("another".to_owned()))
    }

    fn verify_tls12_signature(
        &self,
        _: &[u8],
        _: &CertificateDer<'_>,
        _: &DigitallySignedStruct,
    ) -> Result<HandshakeSignatureValid, Error> {
        Err(Error::General("only TLS 1.3 is spoken".to_owned()))
    }

    fn verify_tls13_signature(
        &self,
        message: &[u8],
        certificate: &CertificateDer<'_>,
        signed: &DigitallySignedStruct,
    ) -> Result<HandshakeSignatureValid, Error> {
        let known = default_provider().signature_verification_algorithms;
        verify_tls13_signature(message, certificate, signed, &known)
    }

    fn supported_verify_schemes(&self) -> Vec<SignatureScheme> {
        default_provider().signature_verification_algorithms.supported_schemes()
    }
}
