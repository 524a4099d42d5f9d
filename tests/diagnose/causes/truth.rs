//! A synthetic house drawn from the model, and what its panel shows.

use std::sync::LazyLock;

use diagnose::cause::{
    BATTERY_LOW_SAID, BATTERY_LOW_STRAY, BATTERY_SHARE, CLASH_CHANCES, Case, Cause,
    FLOOR_METER_SIGMA, FLOOR_SIGMA, LAPSES, LEVELS_PER_TEST, NOISE_ELSEWHEN, NOISE_RISES,
    NULL_BELOW, NextTest, OBSTRUCTION_GOES, OBSTRUCTION_LOSS, OBSTRUCTION_SIGMA, OTHERS_FAULTY,
    OTHERS_LAPSE, OTHERS_LOSSES, PANEL_LOSS, PANEL_LOSS_SIGMA, PLACES_PER_TEST, Shares,
    TAMPER_SAID, TAMPER_STRAY, TRANSMISSIONS_PER_TEST, Test, WEAK_LOSS, WEAK_SIGMA,
};
use diagnose::{
    Air, Channel, ChannelKey, Circumstance, Prior, Reading, Receiver, Remark, Seen, WILD_SHARE,
};
use fixtures::Dice;
use forecast::{FadeMoments, Model};
use nalgebra::{DMatrix, DVector};
use radio::{DEFAULT_LINK, link};
use units::{Db, Dbm, PowerRatio};

pub const OWN_SIGMA: f64 = 2.0;
pub const SHADOW_SIGMA: f64 = 5.0;
pub const SPOT_SIGMA: f64 = 5.0;

static RECEIVER: LazyLock<Receiver> = LazyLock::new(|| {
    let (link, model) = (link(DEFAULT_LINK).unwrap(), Model::default());
    Receiver::new(&link, (model.fading(PowerRatio(0.0)), &FadeMoments::new(&model)), model.noise)
});

pub fn receiver() -> Receiver {
    RECEIVER.clone()
}

pub fn prior() -> Prior {
    Prior {
        places: Vec::new(),
        site_offset: Db(0.0),
        site_sigma: Db(4.0),
        constructions: vec!["stud".into(), "brick".into()],
        scales: DVector::from_vec(vec![1.0, 1.0]),
        scale_covariance: DMatrix::from_diagonal(&DVector::from_vec(vec![0.09, 0.0625])),
    }
}

pub fn channel(receiver: &Receiver, device: usize, level: f64, slopes: [f64; 2]) -> Channel {
    Channel {
        key: ChannelKey::as_found(device, 0),
        level: Dbm(level),
        slopes: slopes.to_vec(),
        shadow_sigma: Db(SHADOW_SIGMA),
        spot_sigma: Db(SPOT_SIGMA),
        own_sigma: Db(OWN_SIGMA),
        receiver: receiver.clone(),
    }
}

pub fn reading(seen: Seen, circumstance: Circumstance) -> Reading {
    Reading {
        sensor: None,
        listener: None,
        time_min: None,
        seen,
        circumstance,
        remarks: Vec::new(),
        line: 0,
    }
}

/// What is true of one device of a house.
#[derive(Debug, Clone, Default)]
struct Device {
    /// Of the cause's own extra loss, and what it depends on.
    obstruction: Option<(f64, bool)>,
    null: Option<f64>,
    weak: Option<(f64, bool)>,
    lapse: f64,
    /// Level but for own loss, spot and extras.
    steady: f64,
    own: f64,
    spot: f64,
    battery_low: bool,
    tamper: bool,
}

/// A house, the truth about it and its readings so far.
#[derive(Debug, Clone)]
pub struct House {
    pub cause: Cause,
    pub prior: Prior,
    pub channels: Vec<Channel>,
    pub bands: Vec<usize>,
    pub readings: Vec<(Option<usize>, Reading)>,
    pub shares: Shares,
    devices: Vec<Device>,
    found: Air,
    hour: Air,
    floor_off: f64,
    dice: Dice,
}

/// The flaky sensor.
pub const TARGET: usize = 0;

impl House {
    /// Draws a house: a cause by its share, then all that is true under it, then what is read as
    /// found.
    pub fn draw(seed: u64, shares: Shares) -> Self {
        Self::draw_at(seed, shares, (4.0, 24.0))
    }

    /// The same with the flaky sensor's forecast margin between two values, dB.
    pub fn draw_at(seed: u64, shares: Shares, (low, high): (f64, f64)) -> Self {
        let mut dice = Dice::new(seed);
        let prior = prior();
        let receiver = receiver();
        let mut left = dice.part();
        let cause = Cause::ALL.into_iter().find(|cause| {
            left -= shares.of(*cause);
            left < 0.0
        });
        let cause = cause.unwrap_or(Cause::NotRadio);
        let count = 5 + dice.below(4);
        let offset = prior.site_sigma.0 * dice.normal();
        let scales: Vec<f64> =
            (0..2).map(|i| prior.scale_covariance[(i, i)].sqrt() * dice.normal()).collect();
        let panel_loss = if cause == Cause::PanelLoss {
            PANEL_LOSS.0 + PANEL_LOSS_SIGMA.0 * dice.normal()
        } else {
            0.0
        };
        let mut channels = Vec::new();
        let mut devices = Vec::new();
        for number in 0..count {
            let margin =
                if number == TARGET { dice.within(low, high) } else { dice.within(8.0, 35.0) };
            let slopes = [dice.within(0.0, 6.0), dice.within(0.0, 14.0)];
            let level = receiver.needed.0 + margin;
            channels.push(channel(&receiver, number, level, slopes));
            let shadow = SHADOW_SIGMA * dice.normal();
            let walls = slopes[0] * scales[0] + slopes[1] * scales[1];
            devices.push(Device {
                steady: level - offset - panel_loss - walls - shadow,
                own: OWN_SIGMA * dice.normal(),
                spot: SPOT_SIGMA * dice.normal(),
                ..Device::default()
            });
        }
        let (found, hour) = airs(cause, &mut dice);
        for (number, device) in devices.iter_mut().enumerate() {
            if number == TARGET {
                device.strike(cause, &mut dice);
            } else if dice.chance(OTHERS_FAULTY) {
                if dice.chance(0.7) {
                    let loss = dice.one_of(&OTHERS_LOSSES);
                    device.obstruction = Some((loss.0, false));
                } else {
                    device.lapse = OTHERS_LAPSE;
                }
            }
        }
        let mut house = Self {
            cause,
            prior,
            bands: vec![0; count],
            channels,
            readings: Vec::new(),
            shares,
            devices,
            found,
            hour,
            floor_off: FLOOR_SIGMA.0 * dice.normal(),
            dice,
        };
        house.read_as_found();
        house
    }

    fn read_as_found(&mut self) {
        for number in 0..self.devices.len() {
            let count =
                if number == TARGET { 5 + self.dice.below(8) } else { 1 + self.dice.below(3) };
            for _ in 0..count {
                if self.dice.chance(0.6) {
                    self.check_in(number, Circumstance::AsFound);
                } else {
                    self.level(number, Circumstance::AsFound);
                }
            }
        }
        if self.dice.chance(0.3) {
            self.noise_floor();
        }
        let device = &self.devices[TARGET];
        let remarks = [(device.battery_low, Remark::BatteryLow), (device.tamper, Remark::Tamper)];
        for (_, remark) in remarks.into_iter().filter(|(is, _)| *is) {
            let mut note = reading(Seen::Nothing, Circumstance::AsFound);
            note.remarks.push(remark);
            self.readings.push((Some(TARGET), note));
        }
    }

    pub fn case(&self) -> Case<'_> {
        Case {
            prior: &self.prior,
            channels: &self.channels,
            bands: &self.bands,
            readings: &self.readings,
            shares: self.shares,
        }
    }

    /// Makes a test and writes down what is read.
    pub fn make(&mut self, test: &NextTest) {
        let sensors = &test.sensors;
        let test = test.test;
        let (channel, circumstance) = match test {
            Test::NoiseFloor => return self.noise_floor(),
            Test::WayCleared => (TARGET, Circumstance::WayCleared),
            Test::Transmissions => (TARGET, Circumstance::AsFound),
            Test::FreshBattery => (TARGET, Circumstance::FreshBattery),
            Test::OtherHour => (TARGET, Circumstance::OtherHour),
            Test::Moved => return self.make_moved(),
            Test::Others => {
                // A device's channel as found has the device's own number.
                for sensor in sensors {
                    self.level(*sensor, Circumstance::AsFound);
                }
                for number in 0..TRANSMISSIONS_PER_TEST {
                    self.check_in(sensors[number % sensors.len()], Circumstance::AsFound);
                }
                return;
            }
            Test::Swapped => {
                let own = OWN_SIGMA * self.dice.normal();
                let transmitter = self.channels.len() as u32;
                let swapped =
                    Device { own, weak: None, lapse: 0.0, ..self.devices[TARGET].clone() };
                (self.push(swapped, 0, transmitter), Circumstance::Swapped)
            }
        };
        if !matches!(test, Test::Transmissions | Test::OtherHour) {
            for _ in 0..LEVELS_PER_TEST {
                self.level(channel, circumstance);
            }
        }
        for _ in 0..TRANSMISSIONS_PER_TEST {
            self.check_in(channel, circumstance);
        }
    }

    /// Some places, a level at each, and ten transmissions over them in turn.
    fn make_moved(&mut self) {
        let places: Vec<usize> = (0..PLACES_PER_TEST)
            .map(|_| {
                let moved = Device {
                    spot: SPOT_SIGMA * self.dice.normal(),
                    null: None,
                    ..self.devices[TARGET].clone()
                };
                let placing = self.channels.len() as u32;
                self.push(moved, placing, 0)
            })
            .collect();
        for place in &places {
            self.level(*place, Circumstance::Moved);
        }
        for number in 0..TRANSMISSIONS_PER_TEST {
            self.check_in(places[number % PLACES_PER_TEST], Circumstance::Moved);
        }
    }

    fn push(&mut self, device: Device, placing: u32, transmitter: u32) -> usize {
        let like = self.channels[TARGET].clone();
        let key = ChannelKey { placing, transmitter, ..like.key };
        self.channels.push(Channel { key, ..like });
        self.bands.push(0);
        self.devices.push(device);
        self.channels.len() - 1
    }

    fn static_level(&self, channel: usize, circumstance: Circumstance) -> Dbm {
        let device = &self.devices[channel];
        let mut level = device.steady - device.own - device.null.unwrap_or(device.spot);
        if let Some((loss, goes)) = device.obstruction
            && !(goes && circumstance == Circumstance::WayCleared)
        {
            level -= loss;
        }
        if let Some((loss, battery)) = device.weak
            && !(battery && circumstance == Circumstance::FreshBattery)
        {
            level -= loss;
        }
        Dbm(level)
    }

    fn level(&mut self, channel: usize, circumstance: Circumstance) {
        let receiver = &self.channels[channel].receiver;
        let centre = self.static_level(channel, circumstance) + receiver.fade_mean;
        let sigma = receiver.reading_sigma.0;
        let read = if self.dice.chance(WILD_SHARE) {
            self.dice.within(-150.0, -30.0)
        } else {
            centre.0 + sigma * self.dice.normal()
        };
        let seen = Seen::Level(Dbm(read));
        self.readings.push((Some(channel), reading(seen, circumstance)));
    }

    fn check_in(&mut self, channel: usize, circumstance: Circumstance) {
        let air = if circumstance == Circumstance::OtherHour { self.hour } else { self.found };
        let lapse = self.devices[channel].lapse;
        let air = Air { clash: 1.0 - (1.0 - air.clash) * (1.0 - lapse), ..air };
        let level = self.static_level(channel, circumstance);
        let missed = self.channels[channel].receiver.missed(level, air);
        let heard = !self.dice.chance(missed);
        self.readings.push((Some(channel), reading(Seen::CheckIn { heard }, circumstance)));
    }

    fn noise_floor(&mut self) {
        let expected = self.channels[TARGET].receiver.noise_floor;
        let above =
            self.floor_off + self.found.noise_rise.0 + FLOOR_METER_SIGMA.0 * self.dice.normal();
        let seen = Seen::NoiseFloor(expected + Db(above));
        self.readings.push((None, reading(seen, Circumstance::AsFound)));
    }
}

fn airs(cause: Cause, dice: &mut Dice) -> (Air, Air) {
    match cause {
        Cause::Noise => {
            let noise_rise = dice.one_of(&NOISE_RISES);
            let found = Air { noise_rise, ..Air::QUIET };
            let gone = dice.chance(NOISE_ELSEWHEN);
            (found, if gone { Air::QUIET } else { found })
        }
        Cause::Clashes => {
            let air = Air { clash: dice.one_of(&CLASH_CHANCES), ..Air::QUIET };
            (air, air)
        }
        _ => (Air::QUIET, Air::QUIET),
    }
}

impl Device {
    fn strike(&mut self, cause: Cause, dice: &mut Dice) {
        let (mut low, mut tamper) = (BATTERY_LOW_STRAY, TAMPER_STRAY);
        match cause {
            Cause::Obstruction => {
                let loss = OBSTRUCTION_LOSS.0 + OBSTRUCTION_SIGMA.0 * dice.normal();
                self.obstruction = Some((loss, dice.chance(OBSTRUCTION_GOES)));
            }
            Cause::Null => {
                // Rayleigh, given that it is below: by rejection.
                let power = loop {
                    let power = -dice.part().ln();
                    if power < NULL_BELOW.to_ratio().0 {
                        break power;
                    }
                };
                self.null = Some(-10.0 * power.log10());
            }
            Cause::WeakTransmitter => {
                let battery = dice.chance(BATTERY_SHARE);
                self.weak = Some((WEAK_LOSS.0 + WEAK_SIGMA.0 * dice.normal(), battery));
                if battery {
                    low = BATTERY_LOW_SAID;
                }
            }
            Cause::NotRadio => {
                self.lapse = dice.one_of(&LAPSES);
                tamper = TAMPER_SAID;
            }
            Cause::TooWeak | Cause::Noise | Cause::PanelLoss | Cause::Clashes => {}
        }
        self.battery_low = dice.chance(low);
        self.tamper = dice.chance(tamper);
    }
}
