//! The certificate of a run, of which nothing is left after it.

use std::net::IpAddr;
use std::sync::Arc;
use std::time::{SystemTime, UNIX_EPOCH};

use rcgen::{CertificateParams, DnType, KeyPair, SanType};
use time::{Duration, OffsetDateTime};
use tokio_rustls::TlsAcceptor;
use tokio_rustls::rustls::ServerConfig;
use tokio_rustls::rustls::crypto::ring::default_provider;
use tokio_rustls::rustls::pki_types::PrivatePkcs8KeyDer;

use super::network::ShareError;

/// How long it holds; longer than any run, and no longer than needed.
const HOLDS: Duration = Duration::days(30);

/// How far the clock of a phone may be behind.
const BEFORE: Duration = Duration::days(1);

/// What speaks TLS with a new certificate for an address, and the certificate's fingerprint.
pub fn certified(address: IpAddr) -> Result<(TlsAcceptor, String), ShareError> {
    let unmade = |why: &dyn std::fmt::Display| ShareError::Certificate(why.to_string());
    let key = KeyPair::generate().map_err(|why| unmade(&why))?;
    let mut about = CertificateParams::default();
    about.subject_alt_names = vec![SanType::IpAddress(address)];
    about.distinguished_name.push(DnType::CommonName, "drillonce, for one run");
    let now = SystemTime::now().duration_since(UNIX_EPOCH).map_err(|why| unmade(&why))?;
    let now = OffsetDateTime::from_unix_timestamp(now.as_secs().cast_signed());
    let now = now.map_err(|why| unmade(&why))?;
    (about.not_before, about.not_after) = (now - BEFORE, now + HOLDS);
    let certificate = about.self_signed(&key).map_err(|why| unmade(&why))?;
    let fingerprint = fingerprint(certificate.der());
    let secret = PrivatePkcs8KeyDer::from(key.serialize_der()).into();
    let config = ServerConfig::builder_with_provider(Arc::new(default_provider()))
        .with_safe_default_protocol_versions()
        .and_then(|it| {
            it.with_no_client_auth().with_single_cert(vec![certificate.der().clone()], secret)
        });
    let config = config.map_err(|why| unmade(&why))?;
    Ok((TlsAcceptor::from(Arc::new(config)), fingerprint))
}

/// The SHA-256 of a certificate as browsers show it: pairs of hexadecimal digits.
fn fingerprint(der: &[u8]) -> String {
    let digest = ring::digest::digest(&ring::digest::SHA256, der);
    let pairs = digest.as_ref().iter().map(|byte| format!("{byte:02X}"));
    pairs.collect::<Vec<_>>().join(":")
}
