package plan

import (
	"encoding/json"
	"math"
	"strings"
	"testing"

	"shoreward/examples"
	"shoreward/internal/audit"
	"shoreward/internal/deck"
	"shoreward/internal/plane"
)

// A floor of two bays with a beam between them, a drop panel in one and a step in the
// other; invented.
const ribbed = metricJob + `rules: {ground: 200 kN/m2}
levels:
  - name: L1
    top: TOP m
    base: 0
    pours:
      - name: L1
        slab: {outline: [[0, 0], [20, 0], [20, Y], [0, Y]], thickness: THICK mm, openings: [[[12, OPEN], [14, OPEN], [14, 8], [12, 8]]]}
        beams: [{from: [8, 0], to: [8, Y], width: 300 mm, depth: DEEP mm}]
        drops: [{outline: [[DROP, 3], [5, 3], [5, 5], [DROP, 5]], thickness: 340 mm}]
        steps: [{outline: [[11, 0.8], [STEP, 0.8], [STEP, 2.6], [11, 2.6]], rise: -50 mm}]
    columns: [{at: [4, 4], size: [400 mm, 400 mm]}]
`

func ribbedOf(change ...string) string {
	return strings.NewReplacer(append(change, "TOP", "3.4", "Y", "9", "THICK", "220", "OPEN", "6", "DEEP", "450", "DROP", "3", "STEP", "13")...).Replace(ribbed)
}

// partsOf are the parts of a field, to the letter.
func partsOf(d *deck.Deck, field string) map[string]bool {
	one, lines := deck.Deck{}, map[string]bool{}
	for _, s := range d.Sheets {
		if s.Field == field {
			one.Sheets = append(one.Sheets, s)
		}
	}
	for _, m := range d.Joists {
		if m.Field == field {
			one.Joists = append(one.Joists, m)
		}
	}
	for _, m := range d.Stringers {
		if m.Field == field {
			one.Stringers = append(one.Stringers, m)
			lines[m.Line] = true
		}
	}
	for _, p := range d.Props {
		if lines[p.Line] {
			one.Props = append(one.Props, p)
		}
	}
	out := map[string]bool{}
	for part := range printed(&one) {
		out[part] = true
	}
	return out
}

// Planned again without a change, a floor with beams, drops and steps is to the byte
// what it was.
func TestBeamsNothingChanged(t *testing.T) {
	for name, text := range map[string]string{"us": beamUS, "eu": beamEU, "eu, over a slab": edgeOver, "eu, two bays": ribbedOf(), "us, two floors": string(examples.PloverMill)} {
		t.Run(name, func(t *testing.T) {
			old := planned(t, text)
			now, starts := again(t, text, old)
			a, err := JSON(old)
			if err != nil {
				t.Fatal(err)
			}
			b, err := JSON(now)
			if err != nil {
				t.Fatal(err)
			}
			if string(a) != string(b) {
				t.Errorf("the same job planned again gives another plan: %+v", starts)
			}
		})
	}
}

// What a change does not touch stays: fields farther off are the same to the letter, and so
// are all parts farther than a joist's length from it. What comes out is proven from its file
// alone, and comes out again.
func TestOneFieldOfManyChanges(t *testing.T) {
	old := planned(t, ribbedOf())
	box := func(x0, y0, x1, y1 float64) plane.Box { return plane.Box{X0: x0, Y0: y0, X1: x1, Y1: y1} }
	joist := 0.0 // mm, the longest there
	for _, m := range old.Pours[0].Deck.Joists {
		joist = math.Max(joist, math.Hypot(m.From[0]-m.To[0], m.From[1]-m.To[1]))
	}
	for _, c := range []struct {
		name   string
		change []string
		boxes  []plane.Box
		stay   []string // zones all whose fields stay
		bays   int      // fields of the slab that stay
	}{
		{"the opening grows", []string{"OPEN", "5.2"}, []plane.Box{box(12000, 5200, 14000, 6000)}, []string{"beam 1", "drop 1", "step 1"}, 1},
		{"the step grows", []string{"STEP", "13.4"}, []plane.Box{box(13000, 800, 13400, 2600)}, []string{"beam 1", "drop 1"}, 1},
		{"the drop panel grows", []string{"DROP", "2.7"}, []plane.Box{box(2700, 3000, 3000, 5000)}, []string{"beam 1", "step 1"}, 1},
		{"the beam is deeper", []string{"DEEP", "480"}, []plane.Box{box(7850, 0, 8150, 9000)}, []string{"drop 1", "step 1"}, 2},
	} {
		t.Run(c.name, func(t *testing.T) {
			text := ribbedOf(c.change...)
			now, starts := again(t, text, old)
			if starts[0].Afresh != "" {
				t.Fatalf("%+v", starts[0])
			}
			t.Log(starts[0].Fields)
			was, is := &old.Pours[0].Deck, &now.Pours[0].Deck
			names := map[string]bool{}
			for _, f := range is.Fields {
				names[f.Name] = true
			}
			bays := 0
			for _, f := range was.Fields {
				a, b := partsOf(was, f.Name), partsOf(is, f.Name)
				same := len(a) == len(b)
				for part := range a {
					same = same && b[part]
				}
				if same && f.Zone == "slab" {
					bays++
				}
				for _, z := range c.stay {
					if f.Zone == z && !same {
						t.Errorf("field %s (%s) is not what it was", f.Name, f.Zone)
					}
				}
				if starts[0].Fields != "" && same && !strings.Contains(starts[0].Fields, f.Name+" ("+f.Zone) {
					t.Errorf("nothing is said of field %s", f.Name)
				}
			}
			if bays < c.bays {
				t.Errorf("%d bays of slab stay, want %d", bays, c.bays)
			}
			untouched(t, was, is, c.boxes, joist)
			data, err := JSON(now)
			if err != nil {
				t.Fatal(err)
			}
			read := &deck.Document{}
			if err := json.Unmarshal(data, read); err != nil {
				t.Fatal(err)
			}
			found, err := audit.Run(read, &read.Pours[0])
			if err != nil || len(found.Failing()) > 0 {
				t.Errorf("audited from its file: %v, %d fail", err, len(found.Failing()))
			}
			for _, w := range lookOver(read, &read.Pours[0], 5) {
				t.Error(w)
			}
			if err := ownNames(is); err != nil {
				t.Error(err)
			}
			twice, _ := again(t, text, old)
			samePour(t, "a second time", &now.Pours[0], &twice.Pours[0])
			third, _ := again(t, text, now)
			samePour(t, "planned again", &now.Pours[0], &third.Pours[0])
		})
	}
}

// A higher storey, or a slab 5 mm thicker: the fields stand at other settings.
func TestBeamsAtOtherHeights(t *testing.T) {
	old := planned(t, ribbedOf())
	for name, change := range map[string][]string{"30 mm higher": {"TOP", "3.43"}, "5 mm thicker": {"THICK", "225"}} {
		now, starts := again(t, ribbedOf(change...), old)
		if starts[0].Afresh != "" {
			t.Fatalf("%s: %+v", name, starts[0])
		}
		was, is := map[string]deck.Prop{}, map[string]deck.Prop{}
		for _, p := range old.Pours[0].Deck.Props {
			was[p.ID] = p
		}
		set := 0
		for _, q := range now.Pours[0].Deck.Props {
			is[q.ID] = q
			if p, ok := was[q.ID]; ok && p.At == q.At && p.Part == q.Part {
				if set++; name == "30 mm higher" && (q.Length-p.Length < 29.9 || q.Length-p.Length > 30.1) {
					t.Errorf("%s: %s is set to %.1f, it was at %.1f", name, q.ID, q.Length, p.Length)
				}
			}
		}
		if set < len(was)*95/100 {
			t.Errorf("%s: %d of %d props stay; %+v", name, set, len(was), starts[0])
		}
	}
}

// A beam more in a bay: the fields of the others stay, under other names of their zones.
func TestBeamAdded(t *testing.T) {
	const drop = "        drops: [{outline: [[3, 3], [5, 3], [5, 5], [3, 5]], thickness: 340 mm}]\n"
	text := strings.Replace(ribbedOf(), drop, "", 1)
	before := planned(t, text)
	text = strings.Replace(text, "beams: [", "beams: [{from: [8, 4.6], to: [0, 4.6], width: 300 mm, depth: 400 mm}, ", 1)
	now, starts := again(t, text, before)
	t.Log(starts[0])
	if starts[0].Afresh != "" {
		t.Fatal(starts[0])
	}
	kept := 0
	for _, f := range before.Pours[0].Deck.Fields {
		a, b := partsOf(&before.Pours[0].Deck, f.Name), partsOf(&now.Pours[0].Deck, f.Name)
		same := len(a) == len(b) && len(a) > 0
		for part := range a {
			same = same && b[part]
		}
		if same {
			kept++
		}
	}
	if kept < 2 {
		t.Errorf("%d fields stay", kept)
	}
}
