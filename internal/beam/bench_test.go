package beam

import (
	"fmt"
	"testing"
)

// equalSpans is a beam of n spans of length 1 with EI = 1.
func equalSpans(n int) Beam {
	b := Beam{End: float64(n), EI: 1}
	for i := range n + 1 {
		b.Supports = append(b.Supports, Support{X: float64(i)})
	}
	return b
}

func pushOnly(b Beam) Beam {
	b.Supports = append([]Support(nil), b.Supports...)
	for i := range b.Supports {
		b.Supports[i].PushOnly = true
	}
	return b
}

func benchSolve(b *testing.B, beam Beam, loads []Load) {
	b.ReportAllocs()
	for b.Loop() {
		if _, err := beam.Solve(loads); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkSolve3Spans(b *testing.B)  { benchSolve(b, equalSpans(3), []Load{Uniform(0, 3, 1)}) }
func BenchmarkSolve12Spans(b *testing.B) { benchSolve(b, equalSpans(12), []Load{Uniform(0, 12, 1)}) }

// A stringer on four props under 24 joists.
func BenchmarkSolve3Spans24Points(b *testing.B) {
	var loads []Load
	for i := range 24 {
		loads = append(loads, Point(float64(i)*3/23, 1))
	}
	benchSolve(b, equalSpans(3), loads)
}

func BenchmarkSolve3SpansLifting(b *testing.B) {
	benchSolve(b, pushOnly(equalSpans(3)), []Load{Uniform(0, 1, 1)})
}

func BenchmarkExtremes3Spans(b *testing.B) {
	r, err := equalSpans(3).Solve([]Load{Uniform(0, 3, 1)})
	if err != nil {
		b.Fatal(err)
	}
	b.ReportAllocs()
	for b.Loop() {
		r.Extremes()
	}
}

func BenchmarkSpanDeflections3Spans(b *testing.B) {
	r, err := equalSpans(3).Solve([]Load{Uniform(0, 3, 1)})
	if err != nil {
		b.Fatal(err)
	}
	b.ReportAllocs()
	for b.Loop() {
		r.SpanDeflections()
	}
}

// Both ways of finding an envelope: superposed, and every pattern by itself.
func BenchmarkEnvelope(b *testing.B) {
	for _, n := range []int{3, 5, 10, 12} {
		for _, lifting := range []bool{false, true} {
			name, beam := "Superposed", equalSpans(n)
			if lifting {
				name, beam = "Lifting", pushOnly(beam)
			}
			whole := []Load{Uniform(0, float64(n), 1)}
			groups := SplitBySpans(beam, whole)
			own := []Load{Uniform(0, float64(n), 0.05)}
			b.Run(fmt.Sprintf("%dSpans%s", n, name), func(b *testing.B) {
				b.ReportAllocs()
				for b.Loop() {
					if _, err := beam.Envelope(own, groups); err != nil {
						b.Fatal(err)
					}
				}
			})
		}
	}
}
