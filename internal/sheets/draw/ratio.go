package draw

// Band is a range of ratios of demand over capacity and how it is filled: the
// darker and the closer hatched, the nearer to what it may carry. What is over
// 1.00 and what is not known have pens of their own, so that neither looks like
// something that holds.
type Band struct {
	Upto  float64 // the band holds ratios up to this
	Name  string
	Fill  Color
	Angle float64 // of its hatch, degrees
	Pitch float64 // of its hatch, mm; 0: none
	Cross bool    // hatched both ways
	Pen   Pen     // of the hatch
	Edge  Pen     // of the outline
	Words Color   // of what is written on it
}

// Bands of ratios that hold, on the hue of Pine with lightness L* 95, 84, 73 and
// 62 (CIE 1976): equal steps to the eye, and equal steps of grey on a copy.
var bands = []Band{
	{Upto: 0.50, Name: "up to 0.50", Fill: Color{0xe7, 0xf3, 0xef}, Edge: Thin, Words: Ink},
	{Upto: 0.75, Name: "0.51 to 0.75", Fill: Color{0xb9, 0xd9, 0xcd}, Angle: 45, Pitch: 2.6, Pen: HatchPen, Edge: Thin, Words: Ink},
	{Upto: 0.90, Name: "0.76 to 0.90", Fill: Color{0x8b, 0xbe, 0xac}, Angle: 45, Pitch: 1.3, Pen: HatchPen, Edge: Thin, Words: Ink},
	{Upto: 1.00, Name: "0.91 to 1.00", Fill: Color{0x5b, 0xa3, 0x8c}, Angle: 45, Pitch: 1.1, Cross: true, Pen: HatchPen, Edge: Medium, Words: Ink},
}

var (
	over    = Band{Name: "over 1.00: too much", Fill: Paper, Angle: 60, Pitch: 1.0, Cross: true, Pen: Pen{Width: 0.3, Color: Brick}, Edge: Pen{Width: 0.8, Color: Brick}, Words: Brick}
	unknown = Band{Name: "not known: take it as too much", Fill: Paper, Edge: Pen{Width: 0.5, Color: Brick, Dash: []float64{1.6, 1}}, Words: Brick}
)

// Wet is how a slab is filled that its shores still carry: it has no ratio yet.
var Wet = Band{Name: "carried by its shores", Fill: Paper, Angle: 0, Pitch: 0.9, Pen: HatchPen, Edge: Thin, Words: Ink}

// BandOf a ratio as it is written, rounded up to two decimals. A ratio that is not
// a number is not known.
func BandOf(ratio float64, known bool) Band {
	if !known || ratio != ratio || ratio < 0 {
		return unknown
	}
	for _, b := range bands {
		if ratio <= b.Upto+1e-9 {
			return b
		}
	}
	return over
}

// Bands in order, for a legend: those that hold, over, not known.
func Bands() []Band { return append(append([]Band(nil), bands...), over, unknown) }

// Fails reports whether what the band shows must not be done.
func (b Band) Fails() bool { return b.Words == Brick }

// Fill draws a ring in a band.
func (p *Page) Fill(b Band, ring []Point) {
	p.Shape(None, &b.Fill, ring)
	if b.Pitch > 0 {
		p.Lines(b.Pen, Hatch(b.Angle, b.Pitch, ring))
		if b.Cross {
			p.Lines(b.Pen, Hatch(-b.Angle, b.Pitch, ring))
		}
	}
	p.Shape(b.Edge, nil, ring)
}

// FlagHigh is the height of a flag, mm.
const FlagHigh = 3.4

// Flag draws the flag of what fails, its foot at the given place.
func (p *Page) Flag(at Point) {
	p.Line(Pen{Width: 0.4, Color: Brick}, at, at.Add(Point{Y: FlagHigh}))
	p.Shape(None, &Brick, []Point{at.Add(Point{Y: FlagHigh}), at.Add(Point{X: 2.6, Y: FlagHigh - 0.9}), at.Add(Point{Y: FlagHigh - 1.8})})
}
