package draw

// Color in red, green, blue.
type Color struct{ R, G, B uint8 }

// The palette: colour only repeats what shape, weight and letter already say.
// Printed pages leave the paper as it is.
var (
	Paper    = Color{0xff, 0xff, 0xff} // behind labels on printed pages
	Ink      = Color{0x1d, 0x2a, 0x2f}
	Grey     = Color{0x6f, 0x79, 0x7c} // ink at rest: notes, grid
	Concrete = Color{0xda, 0xd7, 0xcf}
	Pine     = Color{0x1f, 0x6a, 0x55} // stringers
	Heather  = Color{0x6d, 0x5c, 0x8f} // joists
	Brick    = Color{0x9c, 0x3d, 0x2e} // only what fails or is missing
	Tint     = Color{0xf1, 0xf0, 0xeb} // rows of tables
)

// Pen draws lines: width in mm, dashes in mm, colour.
type Pen struct {
	Width float64
	Dash  []float64
	Color Color
}

// Pens of the drawings, by weight.
var (
	None     = Pen{}
	Hairline = Pen{Width: 0.09, Color: Grey}
	Thin     = Pen{Width: 0.18, Color: Ink}
	Medium   = Pen{Width: 0.35, Color: Ink}
	Heavy    = Pen{Width: 0.60, Color: Ink}

	SheetEdge  = Pen{Width: 0.09, Color: Ink}
	JoistPen   = Pen{Width: 0.20, Color: Heather}
	StringPen  = Pen{Width: 0.30, Color: Pine}
	GridPen    = Pen{Width: 0.13, Color: Grey, Dash: []float64{6, 1.2, 1.2, 1.2}}
	HiddenPen  = Pen{Width: 0.18, Color: Ink, Dash: []float64{2, 1}}
	FailPen    = Pen{Width: 0.50, Color: Brick}
	FailHatch  = Pen{Width: 0.18, Color: Brick}
	HatchPen   = Pen{Width: 0.10, Color: Ink}
	LeaderPen  = Pen{Width: 0.10, Color: Grey}
	EdgeForm   = Pen{Width: 0.45, Color: Ink, Dash: []float64{4, 0.8}}
	StripPen   = Pen{Width: 0.18, Color: Ink, Dash: []float64{1, 0.8}}
	BorderPen  = Pen{Width: 0.35, Color: Ink, Dash: []float64{8, 1.2, 1.5, 1.2}}
	JointPen   = Pen{Width: 0.50, Color: Ink, Dash: []float64{5, 1.2, 1, 1.2, 1, 1.2}}
	TablePen   = Pen{Width: 0.10, Color: Grey}
	TableHead  = Pen{Width: 0.35, Color: Ink}
	DiagramPen = Pen{Width: 0.30, Color: Ink}
)

// Sizes of lettering, em in mm.
const (
	Small  = 2.0
	Normal = 2.6
	Large  = 4.0
	Title  = 6.0
)
