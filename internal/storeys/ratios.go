package storeys

import (
	"errors"
	"fmt"
	"math"

	"shoreward/internal/quantity"
)

// Method of a bare run.
type Method string

// Methods: props that do not shorten, or props and slabs as springs.
const (
	RigidMethod   Method = "rigid"
	ElasticMethod Method = "elastic"
)

// Ask is a building of equal slabs in units of their weight.
type Ask struct {
	Cycle
	Levels      int
	Forms, Live quantity.Ratio // of the slab weight
	Method      Method
	Ratio       quantity.Ratio // stiffness of slab over props, of the elastic method
	Loose       bool           // reshores that came loose stay loose
	Operations  []Operation    // an order of work of one's own; none: that of Cycle
}

// mostLevels keeps a run within what can be read.
const mostLevels = 500

// OperationLoads is a row of a run: loads from the lowest level up, of the levels
// that are placed.
type OperationLoads struct {
	Name    string    `json:"name"`
	Slabs   []float64 `json:"slabs"`             // carried by each slab
	Props   []float64 `json:"props"`             // carried by what stands under each slab
	Under   []string  `json:"under"`             // none, shore, reshore
	Lifted  []int     `json:"lifted,omitempty"`  // levels whose props came loose by it
	Snugged []int     `json:"snugged,omitempty"` // levels whose reshores were made snug before it
}

// Where a peak was first met.
type Where struct {
	Level     int    `json:"level"`
	Operation string `json:"operation"`
	Number    int    `json:"number"` // of the operation, from 1
}

// PeakLoads of a run.
type PeakLoads struct {
	Slab             float64 `json:"peak_slab"`
	Shore            float64 `json:"peak_shore"`
	Reshore          float64 `json:"peak_reshore"`
	ShoreOffGround   float64 `json:"peak_shore_off_ground"`
	ReshoreOffGround float64 `json:"peak_reshore_off_ground"`
	SlabAt           *Where  `json:"peak_slab_at,omitempty"`
	ShoreAt          *Where  `json:"peak_shore_at,omitempty"`
	ReshoreAt        *Where  `json:"peak_reshore_at,omitempty"`
}

// Answer of a bare run, loads in units of the slab weight.
type Answer struct {
	Method     Method           `json:"method"`
	Operations []OperationLoads `json:"operations"`
	PeakLoads
	// With the elastic method: the rigid method's peaks, and the larger of both,
	// by which to judge slabs and props.
	Rigid  *PeakLoads `json:"rigid,omitempty"`
	Larger *PeakLoads `json:"larger,omitempty"`
	Notes  []string   `json:"notes"`
}

// Run follows a building of equal slabs.
func (a Ask) Run() (*Answer, error) {
	if err := a.check(); err != nil {
		return nil, err
	}
	c := quantity.Ratio(0)
	if a.Method == ElasticMethod {
		c = a.Ratio
	}
	tr, err := a.trace(c)
	if err != nil {
		return nil, err
	}
	out := &Answer{Method: a.Method, PeakLoads: tr.peakLoads(), Notes: a.notes()}
	for _, st := range tr.Steps {
		out.Operations = append(out.Operations, st.row())
	}
	if a.Method == ElasticMethod {
		rigid, err := a.trace(0)
		if err != nil {
			return nil, err
		}
		p := rigid.peakLoads()
		larger := out.PeakLoads
		take := func(v *float64, at **Where, w float64, from *Where) {
			if w > *v {
				*v, *at = w, from
			}
		}
		var none *Where
		take(&larger.Slab, &larger.SlabAt, p.Slab, p.SlabAt)
		take(&larger.Shore, &larger.ShoreAt, p.Shore, p.ShoreAt)
		take(&larger.Reshore, &larger.ReshoreAt, p.Reshore, p.ReshoreAt)
		take(&larger.ShoreOffGround, &none, p.ShoreOffGround, nil)
		take(&larger.ReshoreOffGround, &none, p.ReshoreOffGround, nil)
		out.Rigid, out.Larger = &p, &larger
	}
	return out, nil
}

func (a Ask) trace(c quantity.Ratio) (*Trace, error) {
	s := Uniform(a.Levels, a.Forms, a.Live, c)
	if a.Operations != nil {
		return s.Trace(a.Operations, Rules{Resnug: !a.Loose})
	}
	cycle := a.Cycle
	cycle.LiveOff = a.Live > 0
	ops, err := cycle.Standard(s.IDs())
	if err != nil {
		return nil, err
	}
	return s.Trace(ops, Rules{Resnug: !a.Loose})
}

func (a Ask) check() error {
	switch {
	case a.Levels < 1 || a.Levels > mostLevels:
		return fmt.Errorf("%d levels: 1 to %d", a.Levels, mostLevels)
	case a.Operations != nil && (a.Shores != 0 || a.Reshores != 0):
		return errors.New("an order of your own says itself where shores and reshores stand: leave their numbers out")
	case a.Shores > mostLevels || a.Reshores > mostLevels:
		return fmt.Errorf("%d levels of shores and %d of reshores: at most %d of each", a.Shores, a.Reshores, mostLevels)
	case !share(a.Forms):
		return fmt.Errorf("forms of %g times the slab weight: give a number from 0 to 10, as 0.1", float64(a.Forms))
	case !share(a.Live):
		return fmt.Errorf("a live load of %g times the slab weight: give a number from 0 to 10, as 0.5", float64(a.Live))
	case a.Method != RigidMethod && a.Method != ElasticMethod:
		return fmt.Errorf("method %q is not known: rigid or elastic", a.Method)
	case a.Method == ElasticMethod && !(a.Ratio > 0 && a.Ratio <= 1000):
		return fmt.Errorf("a ratio of %g: the elastic method needs the stiffness of the slab over that of the props, above 0 and up to 1000; steel or timber props under flat slabs come to about 0.1 to 1.5", float64(a.Ratio))
	case a.Method == RigidMethod && a.Ratio != 0:
		return fmt.Errorf("a ratio of %g with the rigid method: rigid props have none; leave it out or take the elastic method", float64(a.Ratio))
	}
	return nil
}

func share(r quantity.Ratio) bool { return r >= 0 && r <= 10 }

// notes that belong to every use of the figures.
func (a Ask) notes() []string {
	out := []string{"Loads are working loads in units of the slab's own weight; equal slabs, creep and shrinkage left out."}
	reshores := a.Reshores > 0
	for _, op := range a.Operations {
		reshores = reshores || op.Kind == Reshore
	}
	if a.Method == RigidMethod && reshores {
		out = append(out, "Rigid props are not on the safe side with reshores: real props shorten, and the slab under the shores keeps more. Run the elastic method too and take the larger.")
	}
	if a.Order == ReshoresFirst && reshores && a.Operations == nil {
		out = append(out, "Reshores that go while they carry load ask more of the slabs above: strike the lowest shores first where it can be done.")
	}
	if reshores && !a.Loose {
		out = append(out, "Reshores that came loose are taken to be made snug again before every placing: it must be done, or run with loose reshores.")
	}
	return append(out, "A design aid: whether the young slabs can carry this, local codes and the project's licensed engineer decide.")
}

// row of the levels that are placed.
func (s *Step) row() OperationLoads {
	out := OperationLoads{Name: s.Name()}
	for i, l := range s.Slabs {
		if !l.Placed {
			continue
		}
		p := s.Props[i]
		out.Slabs = append(out.Slabs, tidy(float64(l.Load)))
		out.Props = append(out.Props, tidy(float64(p.Force)))
		out.Under = append(out.Under, p.Kind.String())
		if p.Lifted {
			out.Lifted = append(out.Lifted, i+1)
		}
	}
	for _, i := range s.Snugged {
		out.Snugged = append(out.Snugged, i+1)
	}
	return out
}

func (t *Trace) peakLoads() PeakLoads {
	p := t.Peaks()
	at := func(k Peak) *Where {
		if k.Of == 0 {
			return nil
		}
		return &Where{k.Slab + 1, t.Steps[k.Step].Name(), k.Step + 1}
	}
	return PeakLoads{Slab: tidy(p.Slab.Of), Shore: tidy(p.Shore.Of), Reshore: tidy(p.Reshore.Of),
		ShoreOffGround: tidy(p.ShoreOffGround.Of), ReshoreOffGround: tidy(p.ReshoreOffGround.Of),
		SlabAt: at(p.Slab), ShoreAt: at(p.Shore), ReshoreAt: at(p.Reshore)}
}

// tidy drops the rounding beyond ten decimals.
func tidy(v float64) float64 { return math.Round(v*1e10) / 1e10 }
