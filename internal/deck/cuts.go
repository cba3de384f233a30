package deck

// Cuts is the cut list of a pour: how its cut sheets are sawn from whole ones
// and from what earlier pours left. Places on a sheet are mm from one of its
// corners, first along the face grain (the sheet's length), then across it.
type Cuts struct {
	Turn     int          `json:"turn"`         // from 1: the order in which the pours of the job are cut
	Sheets   int          `json:"sheets"`       // whole sheets that are cut up
	Bound    int          `json:"sheets_bound"` // no pattern of straight cuts takes fewer
	Patterns []CutPattern `json:"patterns"`
}

// CutPattern is one whole sheet or offcut and how it is sawn.
type CutPattern struct {
	ID     string     `json:"id"`               // C1, C2 ...
	Part   string     `json:"part"`             // the panel
	Offcut string     `json:"offcut,omitempty"` // the offcut that is taken; none: a whole sheet
	Size   [2]float64 `json:"size_mm"`          // along, across
	Saw    []SawCut   `json:"saw"`              // straight cuts in order, each through one piece from edge to edge
	Pieces []CutPiece `json:"pieces"`
	Left   []Offcut   `json:"offcuts"` // kept for later pours
}

// SawCut is one straight cut. The blade takes the kerf from At on.
type SawCut struct {
	Across bool    `json:"across"` // across the face grain, at a place along it; else along the grain
	At     float64 `json:"at_mm"`
	From   float64 `json:"from_mm"`
	To     float64 `json:"to_mm"`
}

// CutPiece is the rectangle that a cut sheet of the deck is made from.
type CutPiece struct {
	Sheet string     `json:"sheet"` // its id in the deck
	At    Point      `json:"at_mm"`
	Size  [2]float64 `json:"size_mm"` // along the face grain, across
}

// Offcut is a rest that is kept.
type Offcut struct {
	ID   string     `json:"id"` // its own in the whole job: the pour's name, a slash, R1, R2 ...
	At   Point      `json:"at_mm"`
	Size [2]float64 `json:"size_mm"`
}
