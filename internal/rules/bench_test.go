package rules

import "testing"

// One question each, as the layout asks them for every kind of part.
func BenchmarkBeamLumberUS(b *testing.B) {
	s, p := Defaults(US), dflNo2(3.5, 5.5, 4, 6)
	for b.Loop() {
		if _, err := s.Beam(p, Context{Unbraced: 0.4}); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkPropClassEU(b *testing.B) {
	s, p := Defaults(EU), prop("B")
	for b.Loop() {
		if _, _, err := s.Prop(p, 3); err != nil {
			b.Fatal(err)
		}
	}
}
