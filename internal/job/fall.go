package job

import (
	"fmt"
	"math"
	"strconv"
	"strings"

	"shoreward/internal/plane"
	"shoreward/internal/quantity"
)

// A slab that falls: a ramp, a roof, a balcony to its drain.

// steepest is the slope beyond which a figure is a slip of the pen.
const steepest = 1.0

// slope is a fall over its run in plan: 2 %, 1:50, 1/4 in per ft, 20 mm per m.
func slope() form {
	const want = "a slope like 2 %, 1:50 or 1/4 in per ft"
	return value(want, map[string]any{"type": []string{"string", "number"}}, func(_ *reader, n *node) (string, string) {
		v, ok := slopeOf(n.Text)
		switch {
		case !ok:
			return fmt.Sprintf("%q is not %s", n.Text, want), "write the fall over the run in plan: a percentage, 1:50, or two lengths with per between them"
		case !(v > 0):
			return n.Text + " does not fall", "write how much it falls from the first place toward the second; leave the fall out for a level slab"
		case v > steepest:
			return n.Text + " is out of range", "write " + want + ", at most 100 %"
		}
		n.Value = v
		return "", ""
	})
}

// slopeOf reads a slope.
func slopeOf(text string) (float64, bool) {
	if fall, run, ok := strings.Cut(text, ":"); ok {
		a, err := strconv.ParseFloat(strings.TrimSpace(fall), 64)
		b, err2 := strconv.ParseFloat(strings.TrimSpace(run), 64)
		return a / b, err == nil && err2 == nil && a > 0 && b > 0
	}
	if fall, run, ok := strings.Cut(text, " per "); ok {
		run = strings.TrimSpace(run)
		if !strings.ContainsAny(run, "0123456789") {
			run = "1 " + run
		}
		a, err := quantity.ParseLength(fall, 0)
		b, err2 := quantity.ParseLength(run, 0)
		return float64(a) / float64(b), err == nil && err2 == nil && b > 0
	}
	v, err := quantity.ParseRatio(text)
	return float64(v), err == nil && strings.ContainsAny(text, "%p") // 2 and 0.02 may both be meant as 2 %
}

// fall reads how the slab of a pour slopes, from a top where it does not give its own.
func (r *reader) fall(pour *node, top quantity.Length) *Fall {
	n := pour.Get("slab").Get("fall")
	if !n.OK() || !r.line(n, "the fall") {
		return nil
	}
	for _, key := range []string{"drops", "beams", "steps"} {
		if list := pour.Get(key); len(list.List()) > 0 {
			r.problem(list, key+" in a slab that falls are not planned", "make the part with them a pour of its own without a fall, or have its forms designed by hand")
		}
	}
	f := &Fall{From: pointOf(n.Get("from")), To: pointOf(n.Get("to")), Top: top, Slope: quantity.Ratio(num(n.Get("slope")))}
	if t := n.Get("top"); t.OK() {
		f.Top = meters(t)
	}
	drop, slope := n.Get("drop"), n.Get("slope")
	switch {
	case drop != nil && slope != nil:
		r.problem(n, "the fall has both a drop and a slope", "keep one of them")
		return nil
	case drop == nil && slope == nil:
		r.problem(n, "the fall says where it goes, but not how much it falls", "add drop: how much lower the second place is, or slope: like 2 %")
		return nil
	case drop != nil:
		if !drop.OK() {
			return nil
		}
		a, b := f.From.mm(), f.To.mm()
		f.Slope = quantity.Ratio(meters(drop).Millimetres() / plane.Distance(a, b, b))
		if f.Slope > steepest {
			r.problem(drop, fmt.Sprintf("the slab would fall %s over %s", meters(drop).Text(r.style), quantity.Millimetres(plane.Distance(a, b, b)).Text(r.style)), "check the two places and the drop: at most 100 %")
			return nil
		}
	}
	if f.Slope <= 0 {
		return nil
	}
	return f
}

// Rise is what the top rises for each mm along x and along y.
func (f *Fall) Rise() [2]float64 {
	a, b := f.From.mm(), f.To.mm()
	l := math.Hypot(b[0]-a[0], b[1]-a[1])
	return [2]float64{-(b[0] - a[0]) / l * float64(f.Slope), -(b[1] - a[1]) / l * float64(f.Slope)}
}

// Plumb is the depth of a slab that falls, measured plumb: its thickness is square
// to its soffit.
func (s Slab) Plumb() quantity.Length {
	if s.Fall == nil {
		return s.Thickness
	}
	return s.Thickness * quantity.Length(math.Hypot(1, float64(s.Fall.Slope)))
}

// lowest is the lowest soffit of a pour whose level has a top.
func (p Pour) lowest(top quantity.Length) quantity.Length {
	f := p.Slab.Fall
	if f == nil {
		return top - p.deepest()
	}
	rise, from, low := f.Rise(), f.From.mm(), math.Inf(1)
	for _, q := range p.Slab.Outline.Ring() {
		low = math.Min(low, (q[0]-from[0])*rise[0]+(q[1]-from[1])*rise[1])
	}
	if math.IsInf(low, 1) {
		low = 0
	}
	return f.Top + quantity.Millimetres(low) - p.Slab.Plumb()
}
