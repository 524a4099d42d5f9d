//! Currencies and their smallest units.

/// A currency.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Currency {
    /// Its code, three letters.
    pub code: String,
    /// Digits after the point of its smallest unit.
    pub decimals: u32,
}

/// Codes in use with two decimals. (ISO 4217, active codes; from memory, the standard's list was
/// not opened. Funds, metals and test codes are left out.)
const TWO: &str = "\
    AED AFN ALL AMD ANG AOA ARS AUD AWG AZN BAM BBD BDT BGN BMD BND BOB BRL BSD BTN BWP BYN \
    BZD CAD CDF CHF CNY COP CRC CUP CVE CZK DKK DOP DZD EGP ERN ETB EUR FJD FKP GBP GEL GHS \
    GIP GMD GTQ GYD HKD HNL HTG HUF IDR ILS INR IRR JMD KES KGS KHR KPW KYD KZT LAK LBP LKR \
    LRD LSL MAD MDL MGA MKD MMK MNT MOP MRU MUR MVR MWK MXN MYR MZN NAD NGN NIO NOK NPR NZD \
    PAB PEN PGK PHP PKR PLN QAR RON RSD RUB SAR SBD SCR SDG SEK SGD SHP SLE SOS SRD SSP STN \
    SVC SYP SZL THB TJS TMT TOP TRY TTD TWD TZS UAH USD UYU UZS VED VES WST XCD YER ZAR ZMW";

/// Codes without decimals (ISO 4217, from memory, as above).
const NONE: &str = "BIF CLP DJF GNF ISK JPY KMF KRW PYG RWF UGX VND VUV XAF XOF XPF";

/// Codes with three decimals (ISO 4217, from memory, as above).
const THREE: &str = "BHD IQD JOD KWD LYD OMR TND";

/// The currency of a code in capitals, with the decimals that ISO 4217 gives it; `None` for a code
/// that is not known here.
#[must_use]
pub fn currency(code: &str) -> Option<Currency> {
    let tables = [(TWO, 2), (NONE, 0), (THREE, 3)];
    let found = tables.into_iter().find(|(codes, _)| codes.split(' ').any(|known| known == code));
    found.map(|(_, decimals)| Currency { code: code.to_owned(), decimals })
}

/// All codes that are known.
pub(super) fn codes() -> impl Iterator<Item = &'static str> + Clone {
    [TWO, NONE, THREE].into_iter().flat_map(|codes| codes.split(' '))
}
