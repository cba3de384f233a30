package main

import (
	"bytes"
	"encoding/json"
	"math"
	"os"
	"slices"
	"strings"
	"testing"

	"github.com/rogpeppe/go-internal/testscript"

	"shoreward/internal/deck"
	"shoreward/internal/plan"
)

func TestMain(m *testing.M) {
	testscript.Main(m, map[string]func(){"shoreward": main})
}

// TestScripts runs the real command: testdata/script has one file a story.
func TestScripts(t *testing.T) {
	if testing.Short() {
		t.Skip("plans whole jobs")
	}
	testscript.Run(t, testscript.Params{
		Dir:                 "testdata/script",
		RequireExplicitExec: true,
		Cmds: map[string]func(*testscript.TestScript, bool, []string){
			"tamper":    tamper,
			"status":    status,
			"same-plan": samePlan,
		},
	})
}

// status runs the command that follows and wants the exit status given first.
func status(ts *testscript.TestScript, neg bool, args []string) {
	if neg || len(args) < 2 {
		ts.Fatalf("usage: status CODE COMMAND ARGS...")
	}
	err := ts.Exec(args[1], args[2:]...)
	got := "0"
	if err != nil {
		got = strings.TrimPrefix(err.Error(), "exit status ")
	}
	if got != args[0] {
		ts.Fatalf("exit status %s, want %s", got, args[0])
	}
}

// samePlan compares two summary.json apart from the seconds.
func samePlan(ts *testscript.TestScript, _ bool, args []string) {
	var texts [2]string
	for i, name := range args[:2] {
		var s plan.SummaryFile
		ts.Check(json.Unmarshal([]byte(ts.ReadFile(name)), &s))
		if s.Total.Seconds <= 0 {
			ts.Fatalf("%s: no seconds", name)
		}
		s.Total.Seconds = 0
		data, err := plan.JSON(s)
		ts.Check(err)
		texts[i] = string(data)
	}
	if texts[0] != texts[1] {
		ts.Fatalf("the summaries differ in more than the seconds")
	}
}

// tamper writes FROM to TO with one thing wrong, and sets $MEMBER to a pattern of
// the members that must be named for it. The victim is found from the geometry of
// the deck: the intermediate prop that carries most by its share of the stringer,
// and the stringers that lie over it.
//
//	remove     the prop is gone
//	move       it stands 600 mm to the side of its stringer
//	overload   its two neighbours on the stringer are gone
//	short      it is set 25 mm too low
//	bare       a sheet is gone
//	side       a side form of a beam is gone
func tamper(ts *testscript.TestScript, neg bool, args []string) {
	if neg || len(args) != 3 {
		ts.Fatalf("usage: tamper HOW FROM TO")
	}
	doc, err := plan.ReadDocument(ts.MkAbs(args[1]))
	ts.Check(err)
	d := &doc.Pours[0].Deck
	s, on := longestRun(d)
	victim := on[len(on)/2]
	names := []string{s.ID}
	take := func(ids ...string) {
		var rest []deck.Prop
		for _, p := range d.Props {
			if !slices.Contains(ids, p.ID) {
				rest = append(rest, p)
			}
		}
		d.Props = rest
	}
	switch args[0] {
	case "remove":
		take(victim)
	case "move":
		for i := range d.Props {
			if p := &d.Props[i]; p.ID == victim {
				l := math.Hypot(s.To[0]-s.From[0], s.To[1]-s.From[1])
				p.At[0] -= 600 * (s.To[1] - s.From[1]) / l
				p.At[1] += 600 * (s.To[0] - s.From[0]) / l
			}
		}
		names = append(names, victim)
	case "overload":
		take(on[len(on)/2-1], on[len(on)/2+1])
		names = append(names, victim)
	case "short":
		for i := range d.Props {
			if p := &d.Props[i]; p.ID == victim {
				p.Seat -= 25
				p.Length -= 25
				p.Thread -= 25
			}
		}
	case "bare":
		d.Sheets = d.Sheets[1:]
		names = []string{"deck"}
	case "cuts":
		q := &doc.Pours[0].Cuts.Patterns[0]
		q.Pieces[0].Size[0] -= 50
		names = []string{q.Pieces[0].Sheet}
	case "side":
		i := slices.IndexFunc(d.EdgeForms, func(e deck.EdgeForm) bool { return e.Kind == deck.SideOf })
		d.EdgeForms = slices.Delete(d.EdgeForms, i, i+1)
		names = []string{"zone beam 1"}
	default:
		ts.Fatalf("no such tampering: %s", args[0])
	}
	data, err := plan.JSON(doc)
	ts.Check(err)
	ts.Check(os.WriteFile(ts.MkAbs(args[2]), data, 0o644))
	ts.Setenv("MEMBER", `(?m)^ +(`+strings.Join(names, "|")+`) at x`)
}

// longestRun is the stringer with the most props under it, and these in order.
func longestRun(d *deck.Deck) (deck.Member, []string) {
	var best deck.Member
	var most []string
	for _, s := range d.Stringers {
		l := math.Hypot(s.To[0]-s.From[0], s.To[1]-s.From[1])
		ux, uy := (s.To[0]-s.From[0])/l, (s.To[1]-s.From[1])/l
		var on []string
		for _, p := range d.Props {
			x, y := p.At[0]-s.From[0], p.At[1]-s.From[1]
			along, side := x*ux+y*uy, x*uy-y*ux
			if p.Under == "stringer" && along > 0 && along < l && math.Abs(side) < 30 {
				on = append(on, p.ID)
			}
		}
		if len(on) > len(most) {
			best, most = s, on
		}
	}
	return best, most
}

// TestHelpNamesEveryCommand keeps the first page of help whole.
func TestHelpNamesEveryCommand(t *testing.T) {
	var out bytes.Buffer
	c := rootCommand()
	c.SetOut(&out)
	c.SetArgs([]string{"--help"})
	if err := c.Execute(); err != nil {
		t.Fatal(err)
	}
	for _, want := range []string{"version", "new", "plan", "audit", "catalog", "demo", "storeys"} {
		if !strings.Contains(out.String(), "\n  "+want) {
			t.Errorf("help does not list %s:\n%s", want, out.String())
		}
	}
}
