package catalog

import (
	"math"

	"shoreward/internal/quantity"
)

// Setting is the pin hole and thread of a prop at a length: hole 1 is the
// shortest, and the thread takes up what is left, as little of it as possible. No
// hole where the part has none that are known.
func (p *Part) Setting(length quantity.Length) (hole int, thread quantity.Length) {
	if p == nil || p.Shore == nil || !p.Shore.HolePitch.Known || p.Shore.HolePitch.V <= 0 {
		return 0, 0
	}
	over := length - p.Shore.Shortest.V
	n := math.Floor(float64(over/p.Shore.HolePitch.V) + 1e-9)
	return int(n) + 1, over - quantity.Length(n)*p.Shore.HolePitch.V
}
