package storeys

import (
	"errors"
	"fmt"

	"shoreward/internal/quantity"
)

// Order in which shores and reshores come out once a level is placed.
type Order int

// Orders of removal. In the first, the lowest shores are struck before the lowest
// reshores go, which by then mostly carry nothing. In the second the reshores go
// while they carry load, which asks more of the slabs above.
const (
	ShoresFirst Order = iota
	ReshoresFirst
)

// Cycle is the repeated work of a building.
type Cycle struct {
	Shores     int // levels of shores with forms
	Reshores   int // levels of reshores below them
	Order      Order
	LiveOff    bool              // the live load goes when the level is placed
	Every      quantity.Duration // from one placing to the next
	StripAfter quantity.Duration // from a placing to the stripping below it
}

// Standard is the order of work of a building whose slabs, from the lowest up,
// have these names: place, then strip the lowest of the shored levels, take out
// the lowest reshores, reshore the level that was stripped, and so on; after the
// last placing the same without placing, until nothing stands.
func (c Cycle) Standard(slabs []string) ([]Operation, error) {
	switch {
	case c.Shores < 1:
		return nil, fmt.Errorf("%d levels of shores: at least 1 is needed", c.Shores)
	case c.Reshores < 0:
		return nil, fmt.Errorf("%d levels of reshores: 0 or more", c.Reshores)
	case c.Order != ShoresFirst && c.Order != ReshoresFirst:
		return nil, fmt.Errorf("order %d is not known", c.Order)
	case !(c.StripAfter > 0) || !(c.Every > c.StripAfter):
		return nil, fmt.Errorf("a placing every %s with stripping %s after it: stripping comes after a placing and before the next", c.Every.Text(), c.StripAfter.Text())
	case len(slabs) == 0:
		return nil, errors.New("no levels")
	}
	var ops []Operation
	add := func(k Kind, i int, at quantity.Duration) {
		ops = append(ops, Operation{Kind: k, Slab: slabs[i], At: at})
	}
	n := len(slabs)
	for k := range n + c.Shores - 1 {
		at := quantity.Duration(k) * c.Every
		if k < n {
			add(Place, k, at)
			if c.LiveOff {
				add(LiveOff, k, at)
			}
		}
		at += c.StripAfter
		struck := k - c.Shores + 1
		if struck < 0 || struck >= n {
			continue
		}
		out := struck - c.Reshores // lowest reshores, one level too many after the next reshoring
		goes := c.Reshores > 0 && out >= 0
		if goes && c.Order == ReshoresFirst {
			add(RemoveReshores, out, at)
		}
		add(Strip, struck, at)
		if goes && c.Order == ShoresFirst {
			add(RemoveReshores, out, at)
		}
		if c.Reshores > 0 {
			add(Reshore, struck, at)
		}
	}
	for i := max(0, n-c.Reshores); i < n; i++ {
		add(RemoveReshores, i, quantity.Duration(n+c.Shores-1)*c.Every)
	}
	return ops, nil
}
