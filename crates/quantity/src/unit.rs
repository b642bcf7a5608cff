//! Units a mechanic writes, what they measure, and their conversion to SI (factors from `uom`).

use uom::si::f64 as si;

/// What a field asks for. The SI base of each is given in brackets.
///
/// The angles are told apart by what they count from, so that "12° ATDC" in a field that counts before top dead
/// centre becomes −12°, and never +12°.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Dimension {
    /// Length [m].
    Length,
    /// Angle [rad].
    Angle,
    /// Crank angle before top dead centre [rad].
    BeforeTop,
    /// Crank angle after top dead centre [rad].
    AfterTop,
    /// Crank angle before bottom dead centre [rad].
    BeforeBottom,
    /// Crank angle after bottom dead centre [rad].
    AfterBottom,
    /// Advance: crank angle before top dead centre [rad], or piston travel before it [m] where the unit is a length.
    Advance,
    /// Turning speed [rad/s].
    Speed,
    /// Area [m²].
    Area,
    /// Volume [m³].
    Volume,
    /// Mass [kg].
    Mass,
    /// Moment of inertia [kg·m²].
    Inertia,
    /// Pressure [Pa].
    Pressure,
    /// Stress, and strength against it [Pa].
    Stress,
    /// Density [kg/m³].
    Density,
    /// Temperature [K].
    Temperature,
    /// Time [s].
    Time,
    /// Voltage, peak [V].
    Voltage,
    /// Resistance [Ω].
    Resistance,
    /// Current [A].
    Current,
    /// Power [W].
    Power,
    /// Electric charge, and a battery's capacity [C].
    Charge,
    /// Inductance [H].
    Inductance,
    /// Capacitance [F].
    Capacitance,
    /// Rise of temperature for each watt of heat [K/W].
    ThermalResistance,
    /// Length along a wire [m].
    Distance,
    /// Speed on the road [m/s].
    RoadSpeed,
    /// Spring rate [N/m].
    SpringRate,
    /// Force [N].
    Force,
    /// Moment of a force [N·m].
    Torque,
    /// Flux density [T].
    FluxDensity,
    /// Magnetic field strength [A/m].
    MagneticField,
    /// A plain number [1].
    Number,
}

/// A unit as written on the card.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Unit {
    /// Millimetre.
    Millimetre,
    /// Centimetre.
    Centimetre,
    /// Inch.
    Inch,
    /// Degree (of the crank unless the field says rotor).
    Degree,
    /// Degree before top dead centre.
    DegreeBtdc,
    /// Degree after top dead centre.
    DegreeAtdc,
    /// Degree before bottom dead centre.
    DegreeBbdc,
    /// Degree after bottom dead centre.
    DegreeAbdc,
    /// Millimetre of piston travel before top dead centre.
    MillimetreBtdc,
    /// Inch of piston travel before top dead centre.
    InchBtdc,
    /// Turns per minute.
    Rpm,
    /// Square millimetre.
    SquareMillimetre,
    /// Cubic centimetre.
    CubicCentimetre,
    /// Gram.
    Gram,
    /// Kilogram.
    Kilogram,
    /// Kilogram square metre.
    KilogramSquareMetre,
    /// Kilogram square centimetre.
    KilogramSquareCentimetre,
    /// Bar.
    Bar,
    /// Kilopascal.
    Kilopascal,
    /// Pound-force per square inch.
    Psi,
    /// Megapascal, newton per square millimetre.
    Megapascal,
    /// Kilogram per cubic metre.
    KilogramPerCubicMetre,
    /// Gram per cubic centimetre.
    GramPerCubicCentimetre,
    /// Degree Celsius.
    Celsius,
    /// Degree Fahrenheit.
    Fahrenheit,
    /// Millisecond.
    Millisecond,
    /// Minute.
    Minute,
    /// Hour.
    Hour,
    /// Microsecond.
    Microsecond,
    /// Second.
    Second,
    /// Volt.
    Volt,
    /// Ohm.
    Ohm,
    /// Kiloohm.
    Kiloohm,
    /// Milliohm.
    Milliohm,
    /// Megaohm.
    Megaohm,
    /// Millivolt.
    Millivolt,
    /// Kilovolt.
    Kilovolt,
    /// Ampere.
    Ampere,
    /// Milliampere.
    Milliampere,
    /// Watt.
    Watt,
    /// Ampere hour.
    AmpereHour,
    /// Henry.
    Henry,
    /// Millihenry.
    Millihenry,
    /// Microhenry.
    Microhenry,
    /// Microfarad.
    Microfarad,
    /// Nanofarad.
    Nanofarad,
    /// Picofarad.
    Picofarad,
    /// Kelvin per watt.
    KelvinPerWatt,
    /// Metre.
    Metre,
    /// Kilometre per hour.
    KilometrePerHour,
    /// Mile per hour.
    MilePerHour,
    /// Newton per millimetre.
    NewtonPerMillimetre,
    /// Newton.
    Newton,
    /// Newton metre.
    NewtonMetre,
    /// Newton millimetre.
    NewtonMillimetre,
    /// Tesla.
    Tesla,
    /// Millitesla.
    Millitesla,
    /// Kiloampere per metre.
    KiloamperePerMetre,
    /// Per cent.
    Percent,
    /// No unit.
    One,
}

/// Every unit with its spellings, as [`fold`] leaves them; the printed symbol is in [`Unit::symbol`].
const SPELLINGS: &[(Unit, &[&str])] = &[
    (Unit::Millimetre, &["mm", "millimetre", "millimetres", "millimeter", "millimeters"]),
    (Unit::Centimetre, &["cm", "centimetre", "centimetres", "centimeter", "centimeters"]),
    (Unit::Inch, &["in", "inch", "inches", "\""]),
    (Unit::Degree, &["°", "deg", "degree", "degrees"]),
    (Unit::Rpm, &["rpm", "rev/min", "r/min", "1/min", "min-1"]),
    (Unit::SquareMillimetre, &["mm2"]),
    (Unit::CubicCentimetre, &["cm3", "cc", "ccm", "ml"]),
    (Unit::Gram, &["g", "gram", "grams"]),
    (Unit::Kilogram, &["kg"]),
    (Unit::KilogramSquareMetre, &["kgm2"]),
    (Unit::KilogramSquareCentimetre, &["kgcm2"]),
    (Unit::Bar, &["bar"]),
    (Unit::Kilopascal, &["kpa"]),
    (Unit::Psi, &["psi"]),
    (Unit::Megapascal, &["mpa", "n/mm2"]),
    (Unit::KilogramPerCubicMetre, &["kg/m3"]),
    (Unit::GramPerCubicCentimetre, &["g/cm3"]),
    (Unit::Celsius, &["°c"]),
    (Unit::Fahrenheit, &["°f"]),
    (Unit::Millisecond, &["ms"]),
    (Unit::Minute, &["min"]),
    (Unit::Hour, &["h"]),
    (Unit::Microsecond, &["us"]),
    (Unit::Second, &["s"]),
    (Unit::Volt, &["v", "volt", "volts"]),
    (Unit::Ohm, &["ω", "ohm", "ohms"]),
    (Unit::Kiloohm, &["kω", "kohm"]),
    (Unit::Milliohm, &["mω", "mohm", "milliohm", "milliohms"]),
    (Unit::Megaohm, &["megω", "megohm", "megohms", "megaohm", "megaohms"]),
    (Unit::Millivolt, &["mv"]),
    (Unit::Kilovolt, &["kv"]),
    (Unit::Ampere, &["a", "amp", "amps", "ampere", "amperes"]),
    (Unit::Milliampere, &["ma"]),
    (Unit::Watt, &["w", "watt", "watts"]),
    (Unit::AmpereHour, &["ah"]),
    (Unit::Henry, &["henry"]),
    (Unit::Millihenry, &["mh"]),
    (Unit::Microhenry, &["uh"]),
    (Unit::Microfarad, &["uf"]),
    (Unit::Nanofarad, &["nf"]),
    (Unit::Picofarad, &["pf"]),
    (Unit::KelvinPerWatt, &["k/w", "°c/w"]),
    (Unit::Metre, &["m", "metre", "metres", "meter", "meters"]),
    (Unit::KilometrePerHour, &["km/h", "kph"]),
    (Unit::MilePerHour, &["mph"]),
    (Unit::NewtonPerMillimetre, &["n/mm"]),
    (Unit::Newton, &["n"]),
    (Unit::NewtonMetre, &["nm"]),
    (Unit::NewtonMillimetre, &["nmm"]),
    (Unit::Tesla, &["t", "tesla"]),
    (Unit::Millitesla, &["mt"]),
    (Unit::KiloamperePerMetre, &["ka/m"]),
    (Unit::Percent, &["%"]),
    (Unit::One, &["", ":1"]),
];

/// Position words, and what a degree or a length before them becomes.
const POSITIONS: &[(&str, Unit)] =
    &[("btdc", Unit::DegreeBtdc), ("atdc", Unit::DegreeAtdc), ("bbdc", Unit::DegreeBbdc), ("abdc", Unit::DegreeAbdc)];

/// One spelling for the many ways in which keyboards write a unit: no spaces or dots, small letters, µ as u.
fn fold(text: &str) -> String {
    let mut folded = String::with_capacity(text.len());
    for c in text.chars() {
        match c {
            '·' | '⋅' | '*' | '^' => {}
            _ if c.is_whitespace() => {}
            '²' => folded.push('2'),
            '³' => folded.push('3'),
            '⁻' | '−' => folded.push('-'),
            '¹' => folded.push('1'),
            'µ' | 'μ' => folded.push('u'),
            'º' | '˚' => folded.push('°'),
            '″' | '”' | '“' => folded.push('"'),
            _ => folded.extend(c.to_lowercase()),
        }
    }
    folded
}

impl Unit {
    /// The unit that a piece of text spells, if any: `"mm"`, `"° BTDC"`, `"kg·m²"`, `"µs"`, `"us"`.
    pub fn named(text: &str) -> Option<Self> {
        let mut folded = fold(text);
        // A large letter tells the megohm from the milliohm, and the henry from the hour.
        if text.trim() == "H" {
            return Some(Unit::Henry);
        }
        if text.trim_start().starts_with('M') && (folded == "mω" || folded.starts_with("mohm")) {
            folded.insert_str(1, "eg");
        }
        let plain = |text: &str| SPELLINGS.iter().find(|(_, spellings)| spellings.contains(&text)).map(|(unit, _)| *unit);
        for (word, degrees) in POSITIONS {
            if let Some(base) = folded.strip_suffix(word) {
                return match (plain(base)?, degrees) {
                    (Unit::Degree, _) => Some(*degrees),
                    (Unit::Millimetre, Unit::DegreeBtdc) => Some(Unit::MillimetreBtdc),
                    (Unit::Inch, Unit::DegreeBtdc) => Some(Unit::InchBtdc),
                    _ => None,
                };
            }
        }
        plain(&folded)
    }

    /// The symbol that is printed after a number.
    pub const fn symbol(self) -> &'static str {
        match self {
            Unit::Millimetre => "mm",
            Unit::Centimetre => "cm",
            Unit::Inch => "in",
            Unit::Degree => "°",
            Unit::DegreeBtdc => "° BTDC",
            Unit::DegreeAtdc => "° ATDC",
            Unit::DegreeBbdc => "° BBDC",
            Unit::DegreeAbdc => "° ABDC",
            Unit::MillimetreBtdc => "mm BTDC",
            Unit::InchBtdc => "in BTDC",
            Unit::Rpm => "rpm",
            Unit::SquareMillimetre => "mm²",
            Unit::CubicCentimetre => "cm³",
            Unit::Gram => "g",
            Unit::Kilogram => "kg",
            Unit::KilogramSquareMetre => "kg·m²",
            Unit::KilogramSquareCentimetre => "kg·cm²",
            Unit::Bar => "bar",
            Unit::Kilopascal => "kPa",
            Unit::Psi => "psi",
            Unit::Megapascal => "MPa",
            Unit::KilogramPerCubicMetre => "kg/m³",
            Unit::GramPerCubicCentimetre => "g/cm³",
            Unit::Celsius => "°C",
            Unit::Fahrenheit => "°F",
            Unit::Millisecond => "ms",
            Unit::Minute => "min",
            Unit::Hour => "h",
            Unit::Microsecond => "µs",
            Unit::Second => "s",
            Unit::Volt => "V",
            Unit::Ohm => "Ω",
            Unit::Kiloohm => "kΩ",
            Unit::Milliohm => "mΩ",
            Unit::Megaohm => "MΩ",
            Unit::Millivolt => "mV",
            Unit::Kilovolt => "kV",
            Unit::Ampere => "A",
            Unit::Milliampere => "mA",
            Unit::Watt => "W",
            Unit::AmpereHour => "A·h",
            Unit::Henry => "H",
            Unit::Millihenry => "mH",
            Unit::Microhenry => "µH",
            Unit::Microfarad => "µF",
            Unit::Nanofarad => "nF",
            Unit::Picofarad => "pF",
            Unit::KelvinPerWatt => "K/W",
            Unit::Metre => "m",
            Unit::KilometrePerHour => "km/h",
            Unit::MilePerHour => "mph",
            Unit::NewtonPerMillimetre => "N/mm",
            Unit::Newton => "N",
            Unit::NewtonMetre => "N·m",
            Unit::NewtonMillimetre => "N·mm",
            Unit::Tesla => "T",
            Unit::Millitesla => "mT",
            Unit::KiloamperePerMetre => "kA/m",
            Unit::Percent => "%",
            Unit::One => "",
        }
    }

    /// SI units in one of this unit; for temperatures of a *difference*. Factors come from `uom`.
    pub fn factor(self) -> f64 {
        use uom::si::{
            angle, angular_velocity, area, capacitance, electric_charge, electric_current, electric_potential,
            electrical_resistance, inductance, length, magnetic_field_strength, magnetic_flux_density, mass, mass_density,
            pressure, ratio, temperature_interval, time, velocity, volume,
        };
        match self {
            Unit::Millimetre | Unit::MillimetreBtdc => si::Length::new::<length::millimeter>(1.0).value,
            Unit::Centimetre => si::Length::new::<length::centimeter>(1.0).value,
            Unit::Inch | Unit::InchBtdc => si::Length::new::<length::inch>(1.0).value,
            Unit::Degree | Unit::DegreeBtdc | Unit::DegreeAtdc | Unit::DegreeBbdc | Unit::DegreeAbdc => {
                si::Angle::new::<angle::degree>(1.0).value
            }
            Unit::Rpm => si::AngularVelocity::new::<angular_velocity::revolution_per_minute>(1.0).value,
            Unit::SquareMillimetre => si::Area::new::<area::square_millimeter>(1.0).value,
            Unit::CubicCentimetre => si::Volume::new::<volume::cubic_centimeter>(1.0).value,
            Unit::Gram => si::Mass::new::<mass::gram>(1.0).value,
            Unit::Kilogram => 1.0,
            Unit::KilogramSquareMetre => 1.0,
            Unit::KilogramSquareCentimetre => si::Area::new::<area::square_centimeter>(1.0).value,
            Unit::Bar => si::Pressure::new::<pressure::bar>(1.0).value,
            Unit::Kilopascal => si::Pressure::new::<pressure::kilopascal>(1.0).value,
            Unit::Psi => si::Pressure::new::<pressure::pound_force_per_square_inch>(1.0).value,
            Unit::Megapascal => si::Pressure::new::<pressure::megapascal>(1.0).value,
            Unit::KilogramPerCubicMetre => 1.0,
            Unit::GramPerCubicCentimetre => si::MassDensity::new::<mass_density::gram_per_cubic_centimeter>(1.0).value,
            Unit::Celsius => 1.0,
            Unit::Fahrenheit => si::TemperatureInterval::new::<temperature_interval::degree_fahrenheit>(1.0).value,
            Unit::Millisecond => si::Time::new::<time::millisecond>(1.0).value,
            Unit::Minute => si::Time::new::<time::minute>(1.0).value,
            Unit::Hour => si::Time::new::<time::hour>(1.0).value,
            Unit::Microsecond => si::Time::new::<time::microsecond>(1.0).value,
            Unit::Millitesla => si::MagneticFluxDensity::new::<magnetic_flux_density::millitesla>(1.0).value,
            Unit::KiloamperePerMetre => si::MagneticFieldStrength::new::<magnetic_field_strength::ampere_per_meter>(1e3).value,
            Unit::Tesla | Unit::Second | Unit::Volt | Unit::Ohm | Unit::Newton | Unit::NewtonMetre | Unit::One => 1.0,
            Unit::Kiloohm => si::ElectricalResistance::new::<electrical_resistance::kiloohm>(1.0).value,
            Unit::Milliohm => si::ElectricalResistance::new::<electrical_resistance::milliohm>(1.0).value,
            Unit::Megaohm => si::ElectricalResistance::new::<electrical_resistance::megaohm>(1.0).value,
            Unit::Millivolt => si::ElectricPotential::new::<electric_potential::millivolt>(1.0).value,
            Unit::Kilovolt => si::ElectricPotential::new::<electric_potential::kilovolt>(1.0).value,
            Unit::Ampere | Unit::Watt | Unit::Henry | Unit::KelvinPerWatt | Unit::Metre => 1.0,
            Unit::Milliampere => si::ElectricCurrent::new::<electric_current::milliampere>(1.0).value,
            Unit::AmpereHour => si::ElectricCharge::new::<electric_charge::ampere_hour>(1.0).value,
            Unit::Millihenry => si::Inductance::new::<inductance::millihenry>(1.0).value,
            Unit::Microhenry => si::Inductance::new::<inductance::microhenry>(1.0).value,
            Unit::Microfarad => si::Capacitance::new::<capacitance::microfarad>(1.0).value,
            Unit::Nanofarad => si::Capacitance::new::<capacitance::nanofarad>(1.0).value,
            Unit::Picofarad => si::Capacitance::new::<capacitance::picofarad>(1.0).value,
            Unit::KilometrePerHour => si::Velocity::new::<velocity::kilometer_per_hour>(1.0).value,
            Unit::MilePerHour => si::Velocity::new::<velocity::mile_per_hour>(1.0).value,
            Unit::NewtonPerMillimetre => 1.0 / si::Length::new::<length::millimeter>(1.0).value,
            Unit::NewtonMillimetre => si::Length::new::<length::millimeter>(1.0).value,
            Unit::Percent => si::Ratio::new::<ratio::percent>(1.0).value,
        }
    }

    /// SI value of zero in this unit: 273.15 K for °C, nothing for all but temperatures.
    pub fn zero_si(self) -> f64 {
        use uom::si::thermodynamic_temperature as temperature;
        match self {
            Unit::Celsius => si::ThermodynamicTemperature::new::<temperature::degree_celsius>(0.0).value,
            Unit::Fahrenheit => si::ThermodynamicTemperature::new::<temperature::degree_fahrenheit>(0.0).value,
            _ => 0.0,
        }
    }

    /// A number in this unit, in SI.
    pub fn to_si(self, number: f64) -> f64 {
        self.zero_si() + number * self.factor()
    }

    /// An SI value as a number in this unit.
    pub fn from_si(self, si: f64) -> f64 {
        (si - self.zero_si()) / self.factor()
    }
}

impl Dimension {
    /// Units accepted for it, the usual one first.
    pub const fn units(self) -> &'static [Unit] {
        match self {
            Dimension::Length => &[Unit::Millimetre, Unit::Centimetre, Unit::Inch],
            Dimension::Angle => &[Unit::Degree],
            Dimension::BeforeTop => &[Unit::DegreeBtdc, Unit::Degree, Unit::DegreeAtdc],
            Dimension::AfterTop => &[Unit::DegreeAtdc, Unit::Degree, Unit::DegreeBtdc],
            Dimension::BeforeBottom => &[Unit::DegreeBbdc, Unit::Degree, Unit::DegreeAbdc],
            Dimension::AfterBottom => &[Unit::DegreeAbdc, Unit::Degree, Unit::DegreeBbdc],
            Dimension::Advance => &[Unit::DegreeBtdc, Unit::Degree, Unit::DegreeAtdc, Unit::MillimetreBtdc, Unit::InchBtdc],
            Dimension::Speed => &[Unit::Rpm],
            Dimension::Area => &[Unit::SquareMillimetre],
            Dimension::Volume => &[Unit::CubicCentimetre],
            Dimension::Mass => &[Unit::Gram, Unit::Kilogram],
            Dimension::Inertia => &[Unit::KilogramSquareMetre, Unit::KilogramSquareCentimetre],
            Dimension::Pressure => &[Unit::Bar, Unit::Kilopascal, Unit::Psi],
            Dimension::Stress => &[Unit::Megapascal],
            Dimension::Density => &[Unit::KilogramPerCubicMetre, Unit::GramPerCubicCentimetre],
            Dimension::Temperature => &[Unit::Celsius, Unit::Fahrenheit],
            Dimension::Time => &[Unit::Microsecond, Unit::Millisecond, Unit::Second, Unit::Minute, Unit::Hour],
            Dimension::Voltage => &[Unit::Volt, Unit::Millivolt, Unit::Kilovolt],
            Dimension::Resistance => &[Unit::Ohm, Unit::Kiloohm, Unit::Milliohm, Unit::Megaohm],
            Dimension::Current => &[Unit::Ampere, Unit::Milliampere],
            Dimension::Power => &[Unit::Watt],
            Dimension::Charge => &[Unit::AmpereHour],
            Dimension::Inductance => &[Unit::Millihenry, Unit::Microhenry, Unit::Henry],
            Dimension::Capacitance => &[Unit::Microfarad, Unit::Nanofarad, Unit::Picofarad],
            Dimension::ThermalResistance => &[Unit::KelvinPerWatt],
            Dimension::Distance => &[Unit::Metre, Unit::Centimetre, Unit::Millimetre, Unit::Inch],
            Dimension::RoadSpeed => &[Unit::KilometrePerHour, Unit::MilePerHour],
            Dimension::SpringRate => &[Unit::NewtonPerMillimetre],
            Dimension::Force => &[Unit::Newton],
            Dimension::Torque => &[Unit::NewtonMetre, Unit::NewtonMillimetre],
            Dimension::FluxDensity => &[Unit::Tesla, Unit::Millitesla],
            Dimension::MagneticField => &[Unit::KiloamperePerMetre],
            Dimension::Number => &[Unit::One, Unit::Percent],
        }
    }

    /// The unit in which a number written in `unit` is kept for this dimension, and the sign it takes; `None` where
    /// the unit measures something else. A degree after a dead centre is a negative degree before it.
    pub fn keep(self, unit: Unit) -> Option<(Unit, f64)> {
        if !self.units().contains(&unit) {
            return None;
        }
        Some(match (self, unit) {
            (Dimension::BeforeTop | Dimension::Advance, Unit::DegreeAtdc) => (Unit::DegreeBtdc, -1.0),
            (Dimension::AfterTop, Unit::DegreeBtdc) => (Unit::DegreeAtdc, -1.0),
            (Dimension::BeforeBottom, Unit::DegreeAbdc) => (Unit::DegreeBbdc, -1.0),
            (Dimension::AfterBottom, Unit::DegreeBbdc) => (Unit::DegreeAbdc, -1.0),
            (Dimension::BeforeTop | Dimension::Advance, Unit::Degree) => (Unit::DegreeBtdc, 1.0),
            (Dimension::AfterTop, Unit::Degree) => (Unit::DegreeAtdc, 1.0),
            (Dimension::BeforeBottom, Unit::Degree) => (Unit::DegreeBbdc, 1.0),
            (Dimension::AfterBottom, Unit::Degree) => (Unit::DegreeAbdc, 1.0),
            (_, unit) => (unit, 1.0),
        })
    }
}
