package physics

// Quantities, each in its SI unit. The zero value is zero of the unit.
type (
	Length           float64 // metre
	Mass             float64 // kilogram
	Force            float64 // newton
	UnitWeight       float64 // kilogram per metre: the mass of a string per length
	Frequency        float64 // hertz
	Density          float64 // kilogram per cubic metre
	Pressure         float64 // pascal: stress and elastic modulus
	BendingStiffness float64 // newton metre squared: E·I of a core
	Expansion        float64 // per kelvin: linear thermal expansion
	Acceleration     float64 // metre per second squared
	Inharmonicity    float64 // B in f_n = n·f0·√(1+B·n²), dimensionless
	PitchInterval    float64 // cent: how far one pitch lies above another, 1200 to the octave
	TemperatureStep  float64 // kelvin: a difference, not a temperature
	SideStiffness    float64 // newton per metre: side force over deflection
	Sharpening       float64 // cent per metre of deflection
	Fraction         float64 // of something, dimensionless
)

// Quantity is any of the quantities of this package.
type Quantity interface {
	Length | Mass | Force | UnitWeight | Frequency | Density | Pressure |
		BendingStiffness | Expansion | Acceleration | Inharmonicity | PitchInterval |
		TemperatureStep | SideStiffness | Sharpening | Fraction
}

// StandardGravity is g_n in m/s², exact by the 3rd CGPM (1901).
const StandardGravity = 9.80665

// The pound and inch are exact by the international yard and pound agreement of
// 1959, in kilograms and metres.
const (
	poundKg   = 0.45359237
	inchMetre = 0.0254
)

// Units. All are exact, rounded once to float64.
const (
	Kilometre  Length = 1e3
	Metre      Length = 1
	Centimetre Length = 1e-2
	Millimetre Length = 1e-3
	Micrometre Length = 1e-6
	Inch       Length = inchMetre
	Thou       Length = inchMetre / 1000 // a thousandth of an inch
	Foot       Length = inchMetre * 12

	Kilogram  Mass = 1
	Gram      Mass = 1e-3
	Milligram Mass = 1e-6
	Pound     Mass = poundKg
	Ounce     Mass = poundKg / 16 // avoirdupois

	Newton        Force = 1
	KilogramForce Force = StandardGravity
	GramForce     Force = StandardGravity / 1000
	PoundForce    Force = poundKg * StandardGravity
	OunceForce    Force = poundKg * StandardGravity / 16

	KilogramPerMetre  UnitWeight = 1
	GramPerMetre      UnitWeight = 1e-3
	MilligramPerMetre UnitWeight = 1e-6
	PoundPerInch      UnitWeight = poundKg / inchMetre
	PoundPerFoot      UnitWeight = poundKg / (inchMetre * 12)

	Hertz     Frequency = 1
	Kilohertz Frequency = 1e3

	KilogramPerCubicMetre  Density = 1
	GramPerCubicCentimetre Density = 1e3
	PoundPerCubicInch      Density = poundKg / (inchMetre * inchMetre * inchMetre)

	Pascal             Pressure = 1
	Megapascal         Pressure = 1e6
	Gigapascal         Pressure = 1e9
	PoundPerSquareInch Pressure = poundKg * StandardGravity / (inchMetre * inchMetre)

	NewtonSquareMetre BendingStiffness = 1
	PerKelvin         Expansion        = 1

	Cent     PitchInterval = 1
	Semitone PitchInterval = 100
	Octave   PitchInterval = 1200

	Kelvin           TemperatureStep = 1
	DegreeFahrenheit TemperatureStep = 5.0 / 9

	NewtonPerMetre      SideStiffness = 1
	NewtonPerMillimetre SideStiffness = 1e3
	PoundForcePerInch   SideStiffness = poundKg * StandardGravity / inchMetre

	CentPerMetre      Sharpening = 1
	CentPerMillimetre Sharpening = 1e3
	CentPerInch       Sharpening = 1 / inchMetre

	Percent Fraction = 0.01

	MetrePerSecondSquared Acceleration = 1
)

// In is the number of units in the quantity: Length(0.0508).In(Inch) is 2.
func (q Length) In(unit Length) float64                     { return float64(q / unit) }
func (q Mass) In(unit Mass) float64                         { return float64(q / unit) }
func (q Force) In(unit Force) float64                       { return float64(q / unit) }
func (q UnitWeight) In(unit UnitWeight) float64             { return float64(q / unit) }
func (q Frequency) In(unit Frequency) float64               { return float64(q / unit) }
func (q Density) In(unit Density) float64                   { return float64(q / unit) }
func (q Pressure) In(unit Pressure) float64                 { return float64(q / unit) }
func (q BendingStiffness) In(unit BendingStiffness) float64 { return float64(q / unit) }
func (q Expansion) In(unit Expansion) float64               { return float64(q / unit) }
func (q PitchInterval) In(unit PitchInterval) float64       { return float64(q / unit) }
func (q TemperatureStep) In(unit TemperatureStep) float64   { return float64(q / unit) }
func (q SideStiffness) In(unit SideStiffness) float64       { return float64(q / unit) }
func (q Sharpening) In(unit Sharpening) float64             { return float64(q / unit) }
func (q Fraction) In(unit Fraction) float64                 { return float64(q / unit) }
func (q Acceleration) In(unit Acceleration) float64         { return float64(q / unit) }

// String prints the quantity in its SI unit, with the fewest digits that Parse
// reads back to the same value.
func (q Length) String() string           { return exact(q, 0) }
func (q Mass) String() string             { return exact(q, 0) }
func (q Force) String() string            { return exact(q, 0) }
func (q UnitWeight) String() string       { return exact(q, 0) }
func (q Frequency) String() string        { return exact(q, 0) }
func (q Density) String() string          { return exact(q, 0) }
func (q Pressure) String() string         { return exact(q, 0) }
func (q BendingStiffness) String() string { return exact(q, 0) }
func (q Expansion) String() string        { return exact(q, 0) }
func (q Acceleration) String() string     { return exact(q, 0) }
func (q Inharmonicity) String() string    { return exact(q, 0) }
func (q PitchInterval) String() string    { return exact(q, 0) }
func (q TemperatureStep) String() string  { return exact(q, 0) }
func (q SideStiffness) String() string    { return exact(q, 0) }
func (q Sharpening) String() string       { return exact(q, 0) }
func (q Fraction) String() string         { return exact(q, 0) }
