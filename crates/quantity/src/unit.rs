//! Units a mechanic writes, and what they measure.

/// What a unit measures. SI base of each is given in brackets.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Dimension {
    /// Length [m].
    Length,
    /// Angle [rad].
    Angle,
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
    /// Temperature [K].
    Temperature,
    /// Time [s].
    Time,
    /// Voltage, peak [V].
    Voltage,
    /// Resistance [Ω].
    Resistance,
    /// Spring rate [N/m].
    SpringRate,
    /// Force [N].
    Force,
    /// A plain number [1].
    Number,
}

/// A unit as written on the card.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Unit {
    /// Millimetre.
    Millimetre,
    /// Inch.
    Inch,
    /// Degree (of the crank unless the field says rotor).
    Degree,
    /// Degree before top dead centre.
    DegreeBtdc,
    /// Millimetre of piston travel before top dead centre.
    MillimetreBtdc,
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
    /// Degree Celsius.
    Celsius,
    /// Millisecond.
    Millisecond,
    /// Microsecond.
    Microsecond,
    /// Second.
    Second,
    /// Volt.
    Volt,
    /// Ohm.
    Ohm,
    /// Newton per millimetre.
    NewtonPerMillimetre,
    /// Newton.
    Newton,
    /// Per cent.
    Percent,
    /// No unit.
    One,
}
