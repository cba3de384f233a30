package plan

import (
	"math"
	"runtime"
	"syscall"
	"testing"

	"shoreward/internal/book"
	"shoreward/internal/change"
	"shoreward/internal/sheets"
	"shoreward/internal/tables"
)

// cpuSeconds is the processor time this process has used: on a machine that is
// shared, it says more than the clock.
func cpuSeconds() float64 {
	var u syscall.Rusage
	if err := syscall.Getrusage(syscall.RUSAGE_SELF, &u); err != nil {
		return math.NaN()
	}
	seconds := func(t syscall.Timeval) float64 { return float64(t.Sec) + float64(t.Usec)/1e6 }
	return seconds(u.Utime) + seconds(u.Stime)
}

// reportCPU begins to count processor time; the result ends it.
func reportCPU(b *testing.B) func() {
	start := cpuSeconds()
	return func() { b.ReportMetric((cpuSeconds()-start)/float64(b.N), "cpu-s/op") }
}

// benchmarkPlan times layout and audit of one floor of the area, m2, and
// reports what was placed, so that a change of speed can be told from a change
// of the deck.
func benchmarkPlan(b *testing.B, area float64) {
	j, cat := loadText(b, floorJob(area))
	b.ReportAllocs()
	defer reportCPU(b)()
	for b.Loop() {
		doc, err := Run(j, cat, nil)
		if err != nil {
			b.Fatal(err)
		}
		p := &doc.Pours[0]
		if p.Refused != "" {
			b.Fatal(p.Refused)
		}
		b.ReportMetric(p.Summary.Area, "m2")
		b.ReportMetric(float64(len(p.Deck.Joists)+len(p.Deck.Stringers)+len(p.Deck.Sheets)+len(p.Deck.Props)), "parts")
		b.ReportMetric(float64(p.Summary.Failed), "failed")
	}
}

func BenchmarkPlan100m2(b *testing.B)   { benchmarkPlan(b, 100) }
func BenchmarkPlan300m2(b *testing.B)   { benchmarkPlan(b, 300) }
func BenchmarkPlan1000m2(b *testing.B)  { benchmarkPlan(b, 1000) } // 20 columns, 5 openings
func BenchmarkPlan3000m2(b *testing.B)  { benchmarkPlan(b, 3000) }
func BenchmarkPlan10000m2(b *testing.B) { benchmarkPlan(b, 10000) }
func BenchmarkPlan20000m2(b *testing.B) { benchmarkPlan(b, 20000) }

// BenchmarkReplan1000m2OpeningMoved times planning again after one opening of the
// same floor has moved by 300 mm; the earlier plan is made before.
func BenchmarkReplan1000m2OpeningMoved(b *testing.B) {
	before := floorJob(1000)
	j, cat := loadText(b, before)
	old, err := Run(j, cat, nil)
	if err != nil {
		b.Fatal(err)
	}
	after, _, _ := movedOpening(b, before, 0.3, 0, 0)
	j, cat = loadText(b, after)
	b.ReportAllocs()
	b.ResetTimer()
	defer reportCPU(b)()
	for b.Loop() {
		doc, starts, err := RunFrom(j, cat, old, nil)
		if err != nil {
			b.Fatal(err)
		}
		p := &doc.Pours[0]
		if p.Refused != "" || starts[0].Afresh != "" {
			b.Fatal(p.Refused, starts[0].Afresh)
		}
		b.ReportMetric(float64(change.Pours(&old.Pours[0], p).Counts.Kept), "kept")
		b.ReportMetric(float64(p.Summary.Failed), "failed")
	}
}

// BenchmarkPlanAllOutputs1000m2 adds every document, in memory.
func BenchmarkPlanAllOutputs1000m2(b *testing.B) {
	j, cat := loadText(b, floorJob(1000))
	b.ReportAllocs()
	defer reportCPU(b)()
	for b.Loop() {
		doc, err := Run(j, cat, nil)
		if err != nil {
			b.Fatal(err)
		}
		r := Result{Doc: doc, Open: Unsettled(j, doc)}
		for _, made := range []func() ([]byte, error){
			func() ([]byte, error) { return JSON(doc) },
			func() ([]byte, error) { return JSON(r.Summary()) },
			func() ([]byte, error) { return sheets.PDF(doc) },
			func() ([]byte, error) { return book.PDF(doc) },
			func() ([]byte, error) { return tables.XLSX(doc) },
		} {
			if _, err := made(); err != nil {
				b.Fatal(err)
			}
		}
	}
}

// BenchmarkGrowth100to20000m2 fits cpu time = a area^b through floors from 100
// to 20,000 m2 by least squares of the logarithms, and reports b, and the
// greatest memory that was live at the end of a floor.
func BenchmarkGrowth100to20000m2(b *testing.B) {
	for b.Loop() {
		var n, sx, sy, sxx, sxy float64
		for _, area := range []float64{100, 300, 1000, 3000, 10000, 20000} {
			j, cat := loadText(b, floorJob(area))
			start := cpuSeconds()
			doc, err := Run(j, cat, nil)
			if err != nil {
				b.Fatal(err)
			}
			used := cpuSeconds() - start
			var m runtime.MemStats
			runtime.ReadMemStats(&m)
			p := &doc.Pours[0]
			b.Logf("%.0f m2: %.2f s of processor, %.0f MB asked of the system so far, %d parts, %d failures %s", p.Summary.Area, used,
				float64(m.Sys)/1e6, len(p.Deck.Joists)+len(p.Deck.Stringers)+len(p.Deck.Sheets)+len(p.Deck.Props), p.Summary.Failed, p.Refused)
			x, y := math.Log(p.Summary.Area), math.Log(used)
			n, sx, sy, sxx, sxy = n+1, sx+x, sy+y, sxx+x*x, sxy+x*y
		}
		b.ReportMetric((n*sxy-sx*sy)/(n*sxx-sx*sx), "exponent")
	}
}
