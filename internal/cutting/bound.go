package cutting

// bound is a number of new sheets that no packing can do with fewer than: by
// area, all offcuts on hand used up; and by what fits no offcut, so must come from
// new sheets.
func (p *packer) bound(list []int) int {
	area, onHand := int64(0), int64(0)
	var rest []int
	for _, i := range list {
		area += p.pieces[i].Area()
		fits := false
		for _, s := range p.offcuts {
			fits = fits || p.pieces[i].fits(s) || p.turn && p.pieces[i].turned().fits(s)
		}
		if !fits {
			rest = append(rest, i)
		}
	}
	for _, s := range p.offcuts {
		onHand += s.Area()
	}
	return int(max(0, ceilDiv(area-onHand, p.sheet.Area()), p.boundNew(rest)))
}

// boundNew is a bound for pieces that all come from new sheets: by area, and
// where nothing is turned by dual feasible functions (Fekete and Schepers 2001):
// sizes changed so that what fits a sheet still has no more than the sheet's area.
// They see, for one, that pieces longer than half the sheet never lie end to end.
func (p *packer) boundNew(list []int) int64 {
	area := int64(0)
	var ls, ws []Length
	for _, i := range list {
		area += p.pieces[i].Area()
		ls, ws = append(ls, p.pieces[i].L), append(ws, p.pieces[i].W)
	}
	best := ceilDiv(area, p.sheet.Area())
	if p.turn {
		return best
	}
	fl, fw := changes(p.sheet.L, distinct(ls)), changes(p.sheet.W, distinct(ws))
	const most = 40000 // pairs: a little work only
	for n, f := range fl {
		for m, g := range fw {
			if n*len(fw)+m > most {
				return best
			}
			sum := int64(0)
			for _, i := range list {
				sum += int64(f(p.pieces[i].L)) * int64(g(p.pieces[i].W))
			}
			best = max(best, ceilDiv(sum, p.sheet.Area()))
		}
	}
	return best
}

// changes are dual feasible functions for lengths in a sheet's length: lengths
// as they are; and for a limit of at most half the sheet those above the rest
// count as all of it, those below it as nothing.
func changes(whole Length, lengths []Length) []func(Length) Length {
	out := []func(Length) Length{func(l Length) Length { return l }}
	limit := func(e Length) {
		out = append(out, func(l Length) Length {
			switch {
			case l > whole-e:
				return whole
			case l < e:
				return 0
			}
			return l
		})
	}
	for _, l := range lengths {
		switch {
		case 2*l <= whole:
			limit(l)
		default:
			if e := whole - l + 1; e > 0 && 2*e <= whole {
				limit(e)
			}
		}
	}
	// Each length as the number of k-ths of the sheet that it is more than.
	for k := Length(1); k <= 5; k++ {
		out = append(out, func(l Length) Length {
			n := (k + 1) * l
			if n%whole == 0 {
				return l
			}
			return n / whole * whole / k
		})
	}
	return out
}

func ceilDiv(a, b int64) int64 { return max(0, a+b-1) / b }
