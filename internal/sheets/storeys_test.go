package sheets

import (
	"bytes"
	"encoding/xml"
	"errors"
	"fmt"
	"io"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"

	"shoreward/internal/deck"
	"shoreward/internal/plane"
	"shoreward/internal/quantity"
	"shoreward/internal/reshore"
	"shoreward/internal/sheets/draw"
	"shoreward/internal/sheets/sample"
	tracing "shoreward/internal/storeys"
)

func rect(x, y, w, h float64) plane.Ring {
	return plane.Ring{{x, y}, {x + w, y}, {x + w, y + h}, {x, y + h}}
}

// tower is a report of so many levels with two pours each, 12 by 9 m side by side,
// made by the rigid method with 1 + 2 levels of props. Nothing in it is designed:
// strengths, ratings and areas are invented, only the history of loads is traced.
func tower(levels int, style quantity.Style, rating float64) (*deck.Document, *reshore.Report) {
	const storey, thick, weight = 3000.0, 220.0, 5500.0
	doc := &deck.Document{Job: deck.Header{Name: "Teal Wharf (invented)", Style: style,
		GridX: []deck.GridLine{{Name: "1", At: 0}, {Name: "2", At: 6000}, {Name: "3", At: 12000}, {Name: "4", At: 18000}, {Name: "5", At: 24000}},
		GridY: []deck.GridLine{{Name: "A", At: 0}, {Name: "B", At: 4500}, {Name: "C", At: 9000}}}}
	rep := &reshore.Report{Style: style, Start: "2027-03-01T07:00", Safe: true, Choice: reshore.Choice{Cycle: 168, Shores: 1, Reshores: 2}}
	rep.Unproven = []string{"The stiffness of the columns is left out."}
	stack := tracing.Uniform(levels, 0.1, 0.5, 0)
	ops, err := tracing.Cycle{Shores: 1, Reshores: 2, LiveOff: true, Every: 7 * 24, StripAfter: 4 * 24}.Standard(stack.IDs())
	if err != nil {
		panic(err)
	}
	trace, err := stack.Trace(ops, tracing.Rules{Resnug: true})
	if err != nil {
		panic(err)
	}
	id := map[string]int{}
	for l, name := range stack.IDs() {
		id[name] = l
		rep.Levels = append(rep.Levels, reshore.Level{Name: fmt.Sprintf("L%d", l+1), Base: float64(l) * storey, Top: float64(l+1) * storey, Ground: l == 0, Storeys: storey})
	}
	spots := []reshore.Spot{{Name: "west"}, {Name: "east"}}
	capacity := func(age float64) float64 { return rating * (1 - math.Exp(-(age+20)/90)) } // invented
	for side, name := range []string{"A", "B"} {
		x := float64(side) * 12000
		for l := range levels {
			p := reshore.Pour{Name: fmt.Sprintf("L%d-%s", l+1, name), Level: rep.Levels[l].Name, Area: 108, Thickness: thick, Service: rating, Placed: float64(l) * 168, Stripped: float64(l)*168 + 96}
			p.Slab = []plane.Shape{{Outer: rect(x, 0, 12000, 9000)}}
			p.Supports = []reshore.Support{{Kind: "column", Name: "C1", Ring: rect(x+5800, 4300, 400, 400)}}
			p.Strip = reshore.StripAnswer{Possible: true, Earliest: p.Placed + 80, After: 80, Strength: 17.13e6, Governs: "punching at the columns of " + p.Name}
			p.Layout.Slab = "the ground"
			if l > 0 {
				p.Layout.Slab = fmt.Sprintf("L%d-%s", l, name)
			}
			for n, bay := range []plane.Ring{rect(x+4000, 0, 4000, 9000), rect(x, 0, 4000, 9000), rect(x+8000, 0, 4000, 9000)} {
				a := reshore.StripArea{Number: n + 1, Shapes: []plane.Shape{{Outer: bay}}, Area: 36, Tip: n == 2}
				for m := range 6 {
					r := reshore.Reshore{ID: fmt.Sprintf("R%d", n*6+m+1), At: plane.Point{bay[0][0] + 1000 + 2000*float64(m%2), 1500 + 3000*float64(m/2)}, Part: "prop-d30", Length: 2700, Hole: 8, Thread: 55,
						Load: 14000, Rating: 20000, Ratio: 0.7, Punch: 0.4, Area: n + 1, Over: fmt.Sprintf("B-%d", m+1)}
					p.Layout.Reshores = append(p.Layout.Reshores, r)
					a.Reshores = append(a.Reshores, r.ID)
				}
				p.Sequence = append(p.Sequence, a)
			}
			rep.Pours = append(rep.Pours, p)
			spots[side].Pours = append(spots[side].Pours, p.Name)
		}
	}
	kinds := map[tracing.Kind]reshore.Kind{tracing.Place: reshore.Place, tracing.LiveOff: reshore.LiveOff, tracing.Strip: reshore.Strip, tracing.Reshore: reshore.PutReshores, tracing.RemoveReshores: reshore.RemoveReshores}
	runs := []reshore.Run{{Method: "rigid"}, {Method: "rigid"}}
	for _, step := range trace.Steps {
		for side, name := range []string{"A", "B"} {
			pour := fmt.Sprintf("L%d-%s", id[step.Slab]+1, name)
			words := map[tracing.Kind]string{tracing.Place: "Place ", tracing.LiveOff: "Live load off ", tracing.Strip: "Strip ", tracing.Reshore: "Reshore ", tracing.RemoveReshores: "Reshores out under "}[step.Kind]
			at := float64(step.At)
			rep.Steps = append(rep.Steps, reshore.Step{Number: len(rep.Steps) + 1, Kind: kinds[step.Kind], Pour: pour, Name: words + pour, At: at})
			s := reshore.State{Step: len(rep.Steps) - 1, At: at}
			for l := range levels {
				slab, prop := step.Slabs[l], step.Props[l]
				age := float64(slab.Age)
				one := reshore.SlabState{Placed: slab.Placed, Age: age, Load: float64(slab.Load) * weight}
				if slab.Placed && age > 0 {
					one.Capacity, one.Strength = capacity(age), 30e6*(1-math.Exp(-(age+10)/110))
					one.Ratio = one.Load / one.Capacity
				}
				s.Slabs = append(s.Slabs, one)
				kind := map[tracing.Prop]string{tracing.None: "none", tracing.Shore: "shore", tracing.ReshoreProp: "reshore"}[prop.Kind]
				load := float64(prop.Force) * weight
				s.Props = append(s.Props, reshore.PropState{Kind: kind, On: prop.On, Load: load, Ratio: load / 14000})
			}
			runs[side].States = append(runs[side].States, s)
		}
	}
	for side := range spots {
		spots[side].Runs = runs[side : side+1]
	}
	rep.Places = spots
	return doc, rep
}

// withoutCapacity is a tower in which nobody knows what the slabs of a pour may carry.
func withoutCapacity() (*deck.Document, *reshore.Report) {
	doc, rep := tower(5, quantity.Metric, 16000)
	rep.Start = ""
	for r := range rep.Places[0].Runs {
		for n := range rep.Places[0].Runs[r].States {
			s := &rep.Places[0].Runs[r].States[n].Slabs[1]
			s.Capacity, s.Strength, s.Ratio = 0, 0, 0
		}
	}
	rep.Pours[1].Strip = reshore.StripAnswer{}
	rep.Pours[1].Layout, rep.Pours[1].Sequence = reshore.ReshoreLayout{}, nil
	return doc, rep
}

// awkward is a tower with what makes drawings hard: long names, a split level, a wing
// that no cut through the rest meets, many strip areas, reshores that fail, stand close
// or hang loose, findings, choices, and a deck with props.
func awkward() (*deck.Document, *reshore.Report) {
	doc, rep := tower(6, quantity.Metric, 15000)
	long := "Level 3, north wing beside the stair core and lift pit, second attempt"
	rep.Levels[2].Name = long
	for i := range rep.Pours {
		p := &rep.Pours[i]
		if p.Level == "L3" {
			p.Level = long
		}
	}
	rep.Levels = append(rep.Levels, reshore.Level{Name: "L4 split", Base: 9000, Top: 13100, On: long, Storeys: 4100})
	for i := range rep.Pours {
		p := &rep.Pours[i]
		switch p.Name {
		case "L4-B":
			p.Level = "L4 split"
		case "L5-A":
			p.Slab = []plane.Shape{{Outer: rect(0, 9000, 12000, 5000)}}
		}
	}
	worst := &rep.Pours[9].Layout // L4-B
	for n := range worst.Reshores {
		worst.Reshores[n].At[0] = 12300 + 150*float64(n)
	}
	worst.Reshores[3].Fails, worst.Reshores[4].Ratio, worst.Reshores[5].Ratio = "punches through the slab below", 1.21, 0
	worst.Reshores[6].Off = 240
	rep.Pours[2].Sequence = nil
	for n := range 40 {
		rep.Pours[2].Sequence = append(rep.Pours[2].Sequence, reshore.StripArea{Number: n + 1, Area: 2.7, Tip: n%7 == 0,
			Shapes: []plane.Shape{{Outer: rect(300*float64(n), 0, 300, 9000)}}})
	}
	for n := range rep.Places[1].Runs[0].States {
		s := &rep.Places[1].Runs[0].States[n]
		if s.Props[1].Kind == "reshore" {
			s.Props[1].Gap = 0.4
		}
		s.Props[2].Ratio *= 2.5
	}
	rep.Safe = false
	rep.Findings = []reshore.Finding{{What: "the props under L3-B carry 1.57 times their rating", Pour: "L3-B", Step: 12, At: 336, Ratio: 1.57}}
	rep.Answers = reshore.Answers{Options: []reshore.Option{{Choice: reshore.Choice{Cycle: 96, Shores: 1, Reshores: 1}, Built: true, Ratio: 1.3, Why: "L3-A when L4-A is placed"},
		{Choice: rep.Choice, Built: true, Safe: true, Ratio: 0.93, Why: "L4-A when L5-A is placed"}}, Cheapest: -1,
		WhatIf:   []reshore.WhatIf{{Name: "a cold week after the third placing", Built: true, Why: "L3-A is 2 N/mm2 short"}},
		Remedies: []string{"One level of reshores more."}}
	rep.Assumed = []reshore.Assumed{{Key: "storeys.live", Value: "2.4 kN/m2", Reason: "the job does not say"}}
	rep.Cautions = []string{"Tests decide, not this plan."}
	d := sample.Deck(12000, 9000, quantity.Metric)
	d.Pours[0].Name = "L2-A"
	doc.Pours, doc.Parts = d.Pours, d.Parts
	return doc, rep
}

// towers are hand-made reports of several sizes and states.
func towers() map[string]func() (*deck.Document, *reshore.Report) {
	of := func(levels int, style quantity.Style, rating float64) func() (*deck.Document, *reshore.Report) {
		return func() (*deck.Document, *reshore.Report) { return tower(levels, style, rating) }
	}
	return map[string]func() (*deck.Document, *reshore.Report){
		"metric": of(7, quantity.Metric, 16000), "us": of(7, quantity.US, 16000), "over": of(7, quantity.US, 8500),
		"one level": of(1, quantity.Metric, 16000), "sixty levels": of(60, quantity.Metric, 16000), "unknown": withoutCapacity, "awkward": awkward,
		"empty": func() (*deck.Document, *reshore.Report) { return &deck.Document{}, &reshore.Report{} },
	}
}

func drawnStoreys(t *testing.T, doc *deck.Document, rep *reshore.Report, steps ...int) *draw.Document {
	t.Helper()
	d, err := DrawStoreys(doc, rep, steps...)
	if err != nil {
		t.Fatal(err)
	}
	return d
}

func TestStoreyLabelsDoNotOverlap(t *testing.T) {
	for name, make := range towers() {
		doc, rep := make()
		for _, p := range drawnStoreys(t, doc, rep).Pages {
			ls := labels(p)
			for i, a := range ls {
				for _, b := range ls[i+1:] {
					if a.Box().Grow(-0.15).Overlaps(b.Box().Grow(-0.15)) {
						t.Errorf("%s, %s: %q lies on %q", name, p.Name, a.Str, b.Str)
					}
				}
			}
		}
	}
}

func TestStoreyTextStaysOnPaper(t *testing.T) {
	for name, make := range towers() {
		doc, rep := make()
		for _, p := range drawnStoreys(t, doc, rep).Pages {
			paper := draw.Box{Max: draw.Point{X: p.W, Y: p.H}}.Grow(-border)
			for _, it := range p.Items {
				if x, ok := it.(*draw.Text); ok && !paper.Holds(x.Box()) {
					t.Errorf("%s, %s: %q leaves the frame", name, p.Name, x.Str)
				}
			}
		}
	}
}

func TestStoreysSameBytes(t *testing.T) {
	doc, rep := tower(5, quantity.US, 12000)
	var first []byte
	for n := range 2 {
		data, err := StoreysPDF(doc, rep)
		if err != nil {
			t.Fatal(err)
		}
		if n == 0 {
			first = data
		} else if !bytes.Equal(first, data) {
			t.Error("the same report gives other bytes")
		}
	}
}

// Every picture is XML, has a name of its own, and is the same each time.
func TestStoreyPictures(t *testing.T) {
	doc, rep := tower(5, quantity.US, 8500)
	first, err := StoreyPictures(doc, rep, 3)
	if err != nil {
		t.Fatal(err)
	}
	again, err := StoreyPictures(doc, rep, 3)
	if err != nil {
		t.Fatal(err)
	}
	names := map[string]bool{}
	for n, p := range first {
		if names[p.Name] || strings.ContainsAny(p.Name, "/\\ ") {
			t.Errorf("name %q", p.Name)
		}
		names[p.Name] = true
		if !bytes.Equal(p.SVG, again[n].SVG) {
			t.Errorf("%s differs from run to run", p.Name)
		}
		d := xml.NewDecoder(bytes.NewReader(p.SVG))
		for {
			if _, err := d.Token(); errors.Is(err, io.EOF) {
				break
			} else if err != nil {
				t.Fatalf("%s: %v", p.Name, err)
			}
		}
	}
	if !names["building-step-4.svg"] || len(first) < 2+10 {
		t.Errorf("pictures: %v", names)
	}
	if _, err := StoreyPictures(doc, rep, -1); err == nil {
		t.Error("a step that is not there was drawn")
	}
}

func allText(d *draw.Document) string {
	var out strings.Builder
	for _, p := range d.Pages {
		out.WriteString(pageText(p))
	}
	return out.String()
}

func pageText(p *draw.Page) string {
	var out strings.Builder
	for _, it := range p.Items {
		if x, ok := it.(*draw.Text); ok {
			out.WriteString(x.Str + "\n")
		}
	}
	return out.String()
}

// What is not known is said so on every sheet that shows it, and never as fine.
func TestUnknownIsNeverFine(t *testing.T) {
	doc, rep := withoutCapacity()
	pages := drawnStoreys(t, doc, rep).Pages
	if text := pageText(pages[0]); !strings.Contains(text, "NOT PROVEN") || !strings.Contains(text, notKnown) || strings.Contains(text, "HOLDS") {
		t.Errorf("the summary hides what is not known:\n%s", text)
	}
	seen := map[string]bool{}
	for _, p := range pages {
		text := pageText(p)
		switch {
		case strings.HasPrefix(p.Name, "Building") && strings.Contains(text, "L2-A"):
			seen["section"] = true
			if !strings.Contains(text, "NOT PROVEN") || !strings.Contains(text, "L2-A  ?") && !strings.Contains(text, "?  carries") {
				t.Errorf("%s:\n%s", p.Name, text)
			}
		case strings.HasPrefix(p.Name, "L2-A: Strip"):
			seen["strip"] = true
			if !strings.Contains(text, "DO NOT STRIKE AS PLANNED") {
				t.Errorf("%s:\n%s", p.Name, text)
			}
		case strings.HasPrefix(p.Name, "L2-A: release"):
			seen["release"] = true
			if !strings.Contains(text, "NOT TO BE STRUCK AS PLANNED") || strings.Contains(text, "STRIKE AT") {
				t.Errorf("%s:\n%s", p.Name, text)
			}
		case strings.HasPrefix(p.Name, "load and capacity"):
			seen["history"] = seen["history"] || strings.Contains(text, "? not known")
		}
	}
	if len(seen) != 4 || !seen["history"] {
		t.Errorf("sheets seen: %v", seen)
	}
}

// A pour whose reshores fail, or whose props are over, is not let go by its sheets.
func TestWhatFailsIsNotReleased(t *testing.T) {
	doc, rep := awkward()
	rep.Safe, rep.Findings = true, nil // only what is drawn says what fails
	seen := 0
	for _, p := range drawnStoreys(t, doc, rep).Pages {
		for _, pour := range []string{"L4-B", "L3-B"} { // failing reshores; props at 1.58
			if text := pageText(p); p.Name == pour+": Strip and reshore" || p.Name == pour+": release before striking" {
				seen++
				if strings.Contains(text, "STRIKE AT") || !strings.Contains(text, "STRIKE AS PLANNED") && !strings.Contains(text, "STRUCK AS PLANNED") {
					t.Errorf("%s:\n%s", p.Name, text)
				}
			}
		}
	}
	if seen != 4 {
		t.Errorf("%d sheets of the two pours, want 4", seen)
	}
	for _, spoil := range []func(){func() { rep.Safe = false }, func() { rep.Findings = []reshore.Finding{{What: "the ground gives way", Pour: "L1-A"}} }} {
		doc, rep = tower(3, quantity.US, 16000)
		if text := allText(drawnStoreys(t, doc, rep)); !strings.Contains(text, "STRIKE AT") || strings.Contains(text, "AS PLANNED") {
			t.Fatal("a work that holds is not released")
		}
		spoil()
		if text := allText(drawnStoreys(t, doc, rep)); strings.Contains(text, "STRIKE AT") || strings.Contains(text, "EVERY SLAB AND PROP HOLDS") {
			t.Error("a pour is let go though the work as a whole does not hold")
		}
	}
}

// A release sheet is one page while a pour has no more than 16 areas and the building
// no more than three levels of props.
func TestReleaseIsOnePage(t *testing.T) {
	for areas := 1; areas <= 16; areas++ {
		style := quantity.Style((areas + 1) % 2)
		doc, rep := tower(6, style, 16000)
		for n := range rep.Pours {
			rep.Pours[n].Strip.Forecast = true
			one := rep.Pours[n].Sequence[0]
			rep.Pours[n].Sequence = nil
			for len(rep.Pours[n].Sequence) < areas {
				one.Number = len(rep.Pours[n].Sequence) + 1
				rep.Pours[n].Sequence = append(rep.Pours[n].Sequence, one)
			}
		}
		pages := 0
		for _, p := range drawnStoreys(t, doc, rep).Pages {
			if strings.Contains(p.Name, "release before striking") {
				pages++
				if text := pageText(p); !strings.Contains(text, "(e)(1)") || !strings.Contains(text, "licence no.") {
					t.Errorf("%s breaks", p.Name)
				}
			}
		}
		if pages != len(rep.Pours) {
			t.Errorf("%d pages for %d pours", pages, len(rep.Pours))
		}
	}
}

// The number of a strip area stands in that area and in no other.
func TestAreaNumbersStandInTheirAreas(t *testing.T) {
	doc, rep := awkward()
	st, err := readStoreys(doc, rep)
	if err != nil {
		t.Fatal(err)
	}
	for _, i := range []int{0, 2} {
		sl := &st.slabs[i]
		b := extent(sl.plan())
		sh := &sheet{set: &set{doc: doc}, pour: sl.plan(), scale: scales(0)[0], page: &draw.Page{}}
		sh.view = fit(sh.scale, b)
		sh.place = draw.NewPlacer(sh.scale.format.drawing())
		sh.areaNumbers(sl)
		found := 0
		for _, l := range labels(sh.page) {
			var n int
			if _, err := fmt.Sscanf(l.Str, "%d", &n); err != nil || strings.Contains(l.Str, "m") {
				continue
			}
			found++
			c := l.Box().Centre()
			v := sh.view
			at := deck.Point{v.from.X + (c.X-v.window.Min.X)*v.den, v.from.Y + (c.Y-v.window.Min.Y)*v.den}
			for _, a := range sl.Sequence {
				if in := a.Shapes[0].Contains(at); in != (a.Number == n) {
					t.Errorf("%s: number %d, in area %d: %v", sl.Name, n, a.Number, in)
				}
			}
		}
		if found+sh.unplaced != len(sl.Sequence) {
			t.Errorf("%s: %d numbers and %d without room, of %d areas", sl.Name, found, sh.unplaced, len(sl.Sequence))
		}
	}
}

// Figures that no slab has are drawn as not known, whatever they are.
func TestWildFigures(t *testing.T) {
	for _, v := range []float64{math.NaN(), math.Inf(1), math.Inf(-1), -1e7, 1e300} {
		doc, rep := tower(3, quantity.Metric, 16000)
		for n := range rep.Places[0].Runs[0].States {
			s := &rep.Places[0].Runs[0].States[n]
			s.Slabs[0].Load, s.Props[1].Load, s.Slabs[1].Capacity, s.Slabs[1].Strength = v, v, v, v
		}
		rep.Pours[1].Service = v
		d := drawnStoreys(t, doc, rep)
		if text := allText(d); !strings.Contains(text, "NOT PROVEN") || strings.Contains(text, "NaN") || strings.Contains(text, "Inf") {
			t.Errorf("%g: drawn as if it were a figure", v)
		}
		for _, p := range d.Pages {
			for _, it := range p.Items {
				path, ok := it.(*draw.Path)
				if !ok {
					continue
				}
				for _, ring := range path.Rings {
					for _, q := range ring {
						if !(math.Abs(q.X) < 1e4 && math.Abs(q.Y) < 1e4) {
							t.Fatalf("%g: %s has a line to %v", v, p.Name, q)
						}
					}
				}
			}
		}
	}
}

// The drawings of a plan with storeys hold their sheets, and those of one without do not.
func TestDrawingsHoldStoreys(t *testing.T) {
	doc, rep := tower(2, quantity.Metric, 16000)
	count := func() int {
		n := 0
		for _, p := range drawn(t, doc).Pages {
			if strings.Contains(p.Name, "release before striking") || strings.HasPrefix(p.Name, "loads through storeys") {
				n++
			}
		}
		return n
	}
	if n := count(); n != 0 {
		t.Errorf("%d sheets of storeys without a report", n)
	}
	if doc.Storeys = rep; count() != 1+4 {
		t.Errorf("%d sheets, want a summary and four releases", count())
	}
}

// The worst slab of the report stands first on the summary, by the ratios of the
// report itself.
func TestSummaryNamesTheWorst(t *testing.T) {
	doc, rep := tower(7, quantity.US, 8500)
	worst, pour := 0.0, ""
	for _, spot := range rep.Places {
		for _, run := range spot.Runs {
			for _, s := range run.States {
				for n, x := range s.Slabs {
					if x.Placed && x.Ratio > worst+1e-12 {
						worst, pour = x.Ratio, spot.Pours[n]
					}
				}
			}
		}
	}
	text := pageText(drawnStoreys(t, doc, rep).Pages[0])
	if worst <= 1 || !strings.Contains(text, "DO NOT BUILD SO") || !strings.Contains(text, "Worst slab: "+pour) || !strings.Contains(text, figure{worst, true}.ratio()) {
		t.Errorf("worst is %s at %.4f:\n%s", pour, worst, text)
	}
}

// A tall building breaks into pages on which every level is named.
func TestTallBuildingBreaks(t *testing.T) {
	doc, rep := tower(60, quantity.Metric, 16000)
	st, err := readStoreys(doc, rep)
	if err != nil {
		t.Fatal(err)
	}
	for k := range st.steps { // something stands under every level
		for i := range st.slabs {
			if then := &st.steps[k].slabs[i]; then.placed && then.under == "" {
				then.under = "reshore"
			}
		}
	}
	s := &set{doc: doc, out: &draw.Document{}}
	s.building(st, len(st.steps)-1)
	if n := len(s.out.Pages); n < 3 || n > 20 {
		t.Fatalf("%d pages", n)
	}
	named := map[string]bool{}
	for _, p := range s.out.Pages {
		for _, l := range labels(p) {
			named[l.Str] = true
		}
	}
	for _, l := range rep.Levels {
		if !named[l.Name] {
			t.Errorf("level %s is on no page", l.Name)
		}
	}
}

func TestStoreysRefuses(t *testing.T) {
	for name, spoil := range map[string]func(*reshore.Report){
		"a pour without a level":   func(r *reshore.Report) { r.Pours[0].Level = "attic" },
		"a pour twice":             func(r *reshore.Report) { r.Pours[1].Name = r.Pours[0].Name },
		"a step of no pour":        func(r *reshore.Report) { r.Steps[2].Pour = "x" },
		"steps out of order":       func(r *reshore.Report) { r.Steps[2].At = -5 },
		"a state of no step":       func(r *reshore.Report) { r.Places[0].Runs[0].States[0].Step = 9999 },
		"a state of another place": func(r *reshore.Report) { r.Places[0].Runs[0].States[0].Slabs = nil },
		"a place without bounds":   func(r *reshore.Report) { r.Pours[0].Slab[0].Outer[0][0] = math.Inf(1) },
		"a start that is no date":  func(r *reshore.Report) { r.Start = "soon" },
	} {
		doc, rep := tower(2, quantity.Metric, 16000)
		spoil(rep)
		if _, err := StoreysPDF(doc, rep); err == nil || !strings.Contains(err.Error(), "storeys") {
			t.Errorf("%s: %v", name, err)
		}
	}
	doc, rep := tower(2, quantity.Metric, 16000)
	if _, err := DrawStoreys(doc, rep, 500); err == nil {
		t.Error("a step that is not there was drawn")
	}
	if _, err := StoreysPDF(doc, nil); err == nil {
		t.Error("no report was drawn")
	}
}

// SHOREWARD_LOOK=dir writes every sample as PDF and PNG, in colour and grey, to look at.
func TestLookAtStoreys(t *testing.T) {
	dir := os.Getenv("SHOREWARD_LOOK")
	if dir == "" {
		t.Skip("SHOREWARD_LOOK is not set")
	}
	for _, name := range []string{"metric", "us", "over", "one level", "unknown", "awkward", "empty"} {
		doc, rep := towers()[name]()
		data, err := StoreysPDF(doc, rep)
		if err != nil {
			t.Fatal(err)
		}
		pdf := filepath.Join(dir, "storeys-"+strings.ReplaceAll(name, " ", "-"))
		if err := os.WriteFile(pdf+".pdf", data, 0o600); err != nil {
			t.Fatal(err)
		}
		for _, grey := range [][]string{{pdf + ".pdf", pdf}, {"-gray", pdf + ".pdf", pdf + "-grey"}} {
			if err := exec.Command("pdftoppm", append([]string{"-r", "75", "-l", "12", "-png"}, grey...)...).Run(); err != nil {
				t.Fatal(err)
			}
		}
	}
}
