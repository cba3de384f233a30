// Package storeys follows the load of fresh concrete through shores, reshores
// and the young slabs below, operation by operation: who carries what while a
// building is placed, stripped and reshored.
//
// A stack is what lies over one another at one place in plan. Every slab is a
// spring against its mean deflection, as stiff as its concrete is at that age;
// every level of props is a spring that only pushes; the lowest stand on the
// ground. A slab keeps the load it took: its stiffness at an operation shares
// out the change that the operation makes. With props that do not shorten and
// slabs of one stiffness this is the simplified method of Grundy and Kabaila
// (1963); creep and shrinkage are left out, as there.
//
// The package knows no strength: whether a slab can carry its load is asked
// elsewhere, with the loads found here.
package storeys

import (
	"fmt"
	"math"

	"shoreward/internal/calc"
	"shoreward/internal/quantity"
)

// Stiffness is load per area over the shortening or mean deflection it causes, N/m3.
type Stiffness float64

// Rigid is the stiffness of props or ground that do not give at all.
var Rigid = Stiffness(math.Inf(1))

// flexibility is the inverse, m3/N; nothing for what is rigid.
func (k Stiffness) flexibility() float64 { return 1 / float64(k) }

// Gain is a slab's stiffness at an age. Whatever it says, a slab of no age has none.
type Gain func(age quantity.Duration) Stiffness

// Constant is a stiffness that does not change with age.
func Constant(k Stiffness) Gain { return func(quantity.Duration) Stiffness { return k } }

// Slab is one slab, or one pour of it, with the props that belong under it.
type Slab struct {
	ID        string
	Top       quantity.Length // elevation, by which the slabs of a stack are put in order
	Weight    quantity.Stress // of the slab itself
	Forms     quantity.Stress // of the forms on its shores: there from placing to stripping
	Live      quantity.Stress // construction live load while it is placed
	Stiffness Gain
	Shores    Stiffness // of the props under it per area, that carry it fresh
	Reshores  Stiffness // of the props put back under it
}

// Stack is the slabs over one another at one place, from the lowest up.
type Stack struct {
	Name   string // where it is, for messages
	Slabs  []Slab
	Ground Stiffness // of what the lowest props stand on
}

// Kind of operation.
type Kind int

// Operations.
const (
	Place          Kind = iota // the slab is placed on shores, with its forms and its live load
	LiveOff                    // the live load on it goes
	LiveOn                     // a live load comes onto it: Operation.Load, or its own
	Strip                      // the shores and forms under it go
	Reshore                    // props are put under it, snug, without load
	RemoveReshores             // the reshores under it go
	Snug                       // reshores under it that hang loose are made snug again
)

// Operation is one step of the work, on the props under a slab or the load on it.
type Operation struct {
	Kind Kind
	Slab string            // its ID
	At   quantity.Duration // since the start of the work
	Load quantity.Stress   // of LiveOn; none: the slab's own
}

// Name of the operation in words.
func (o Operation) Name() string {
	switch o.Kind {
	case Place:
		return "Place " + o.Slab
	case LiveOff:
		return "Live load off " + o.Slab
	case LiveOn:
		return "Live load on " + o.Slab
	case Strip:
		return "Remove shores under " + o.Slab
	case Reshore:
		return "Reshore under " + o.Slab
	case RemoveReshores:
		return "Remove reshores under " + o.Slab
	case Snug:
		return "Make reshores snug under " + o.Slab
	}
	return fmt.Sprintf("operation %d on %s", int(o.Kind), o.Slab)
}

// Prop is what stands under a slab.
type Prop int

// Kinds of prop level.
const (
	None Prop = iota
	Shore
	ReshoreProp
)

func (p Prop) String() string { return [...]string{"none", "shore", "reshore"}[p] }

// SlabState is what a slab carries after an operation.
type SlabState struct {
	Placed bool
	Age    quantity.Duration
	Load   quantity.Stress // carried by the slab itself, from column to column
}

// PropState is what the props under a slab carry after an operation.
type PropState struct {
	Kind   Prop
	On     int             // index of the slab they stand on, or Ground
	Force  quantity.Stress // per area
	Gap    quantity.Length // by which they hang loose
	Lifted bool            // this operation made them come loose
}

// Ground as what props stand on.
const Ground = -1

// Step is the state after one operation.
type Step struct {
	Operation
	Snugged []int       // slabs whose loose reshores were made snug just before, for the placing
	Slabs   []SlabState // of each slab of the stack
	Props   []PropState // under each slab of the stack
}

// Trace is the history of a stack.
type Trace struct {
	Stack *Stack
	Steps []Step
}

// PlateCoefficient of the middle of an inner square panel on point columns, in
// w L^4/D: from memory of plate theory (Timoshenko).
const PlateCoefficient = 0.00581

// Panel is the stiffness, N/m3, of a flat slab's inner square panel of a span and
// thickness by its mean deflection, taken as half of that in mid-panel: 2 D/(0.00581
// L^4) with D = E h^3/(12 (1 - ν^2)). Neither more nor less stiffness is safe in all
// systems: see what the ratio to the props does.
func Panel(e quantity.Stress, h, span quantity.Length, nu quantity.Ratio) (calc.Line, error) {
	if !(e > 0 && h > 0 && span > 0 && nu >= 0 && nu < 0.5) {
		return calc.Line{}, fmt.Errorf("a panel of %s, %s thick, E %s, Poisson's ratio %g: all but the last must be above zero, the last from 0 to 0.5", span.Text(quantity.Metric), h.Text(quantity.Metric), e.Text(quantity.Metric), float64(nu))
	}
	d := float64(e) * math.Pow(float64(h), 3) / (12 * (1 - float64(nu*nu)))
	return calc.Line{Symbol: "K", Name: "stiffness of the slab by its mean deflection", Formula: "2 · E · h³ / (12 · (1 - ν²) · k · L^4)", Kind: calc.UnitWeight,
		Terms:  []calc.Term{calc.Num("E", e, calc.Stress), calc.Num("h", h, calc.Length), calc.Num("ν", nu, calc.Plain), calc.Num("k", PlateCoefficient, calc.Plain), calc.Num("L", span, calc.Length)},
		Value:  2 * d / (PlateCoefficient * math.Pow(float64(span), 4)),
		Source: "plate theory, inner square panel on point columns; mean taken as half of the middle", Evidence: calc.Memory}, nil
}

// Props is the stiffness per area, N/m3, of props of axial stiffness EA and a length,
// each on an area, with the bedding at each (heads, sills, screws: force per
// shortening) in a row with it.
func Props(ea quantity.Force, length quantity.Length, bedding quantity.LineLoad, area quantity.Area) (calc.Line, error) {
	if !(ea > 0 && length > 0 && bedding > 0 && area > 0) {
		return calc.Line{}, fmt.Errorf("props of EA %s, %s long, bedding %g N/m, one on %s: all must be above zero", ea.Text(quantity.Metric), length.Text(quantity.Metric), float64(bedding), area.Text(quantity.Metric))
	}
	return calc.Line{Symbol: "k", Name: "stiffness of the props per area", Formula: "1 / ((L / EA + 1 / b) · A)", Kind: calc.UnitWeight,
		Terms:  []calc.Term{calc.Num("L", length, calc.Length), calc.Num("EA", ea, calc.Force), calc.Num("b", bedding, calc.LineLoad), calc.Num("A", area, calc.Area)},
		Value:  1 / ((float64(length)/float64(ea) + 1/float64(bedding)) * float64(area)),
		Source: "springs in a row", Evidence: calc.Derived}, nil
}
