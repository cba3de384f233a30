package storeys_test

import (
	"fmt"
	"strings"

	"shoreward/internal/plane"
	"shoreward/internal/quantity"
	"shoreward/internal/storeys"
)

// Three levels of two pours each, whose joint is 2 m farther on the middle level: at
// three places in plan other pours lie over one another. By statics: 4.8 + 0.5 + 2.4 =
// 7.7 kN/m2 come on two slabs of equal stiffness with props between of 18/4.6 times it;
// the reshores take 7.7/(2 + 4.6/18) = 3.41, so the slabs carry 8.21 and 9.09 kN/m2.
func Example() {
	b := storeys.Building{Ground: storeys.Rigid}
	date := map[string]quantity.Duration{}
	for l, joint := range []float64{10, 12, 10} {
		for p, x := range [][2]float64{{0, joint}, {joint, 20}} {
			id := fmt.Sprintf("L%d-%c", l+1, 'A'+p)
			b.Pours = append(b.Pours, storeys.Pour{
				Slab: storeys.Slab{ID: id, Top: quantity.Length(3 * (l + 1)), Weight: 4.8 * quantity.Kilopascal, Forms: 0.5 * quantity.Kilopascal, Live: 2.4 * quantity.Kilopascal,
					Stiffness: storeys.Constant(4.6e6), Shores: 18e6, Reshores: 18e6},
				Outline: plane.Shape{Outer: plane.Rect(1000*x[0], 0, 1000*x[1], 15000)},
			})
			date[id] = quantity.Days(float64(7*l + p))
		}
	}
	work := storeys.Cycle{Shores: 1, Reshores: 1, LiveOff: true, Every: quantity.Days(7), StripAfter: quantity.Days(4)}
	ops, err := b.Standard(date, work)
	if err != nil {
		fmt.Println(err)
		return
	}
	traces, err := b.Trace(ops, storeys.Rules{Resnug: true})
	if err != nil {
		fmt.Println(err)
		return
	}
	for _, t := range traces {
		fmt.Printf("%s: %.0f m2\n", strings.Join(t.Trace.Stack.IDs(), " under "), float64(t.Spot.Area))
	}
	for i, p := range b.PourPeaks(traces) {
		at := traces[p.SlabSpot].Trace.Steps[p.Slab.Step]
		fmt.Printf("%s carries up to %s, %.2f of its weight: %s\n", b.Pours[i].ID, p.Slab.Load.LoadText(quantity.Metric), p.Slab.Of, at.Name())
	}
	// Output:
	// L1-A under L2-A under L3-A: 150 m2
	// L1-B under L2-A under L3-B: 30 m2
	// L1-B under L2-B under L3-B: 120 m2
	// L1-A carries up to 8.21 kN/m2, 1.71 of its weight: Place L3-A
	// L1-B carries up to 8.21 kN/m2, 1.71 of its weight: Place L3-B
	// L2-A carries up to 9.09 kN/m2, 1.89 of its weight: Place L3-A
	// L2-B carries up to 9.09 kN/m2, 1.89 of its weight: Place L3-B
	// L3-A carries up to 4.80 kN/m2, 1.00 of its weight: Remove shores under L3-A
	// L3-B carries up to 4.80 kN/m2, 1.00 of its weight: Remove shores under L3-B
}
