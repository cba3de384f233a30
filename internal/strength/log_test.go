package strength

import (
	"fmt"
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"shoreward/internal/quantity"
)

func read(t *testing.T, text string, o LogOptions) *Log {
	t.Helper()
	l, err := ReadLog(strings.NewReader(text), o)
	if err != nil {
		t.Fatal(err)
	}
	return l
}

func yes() *bool { b := true; return &b }
func no() *bool  { b := false; return &b }

// What loggers write, all the same three readings: 20, 21.5 and 23 °C at 08:00,
// 09:00 and 10:00 of 14 March 2027.
func TestLogsOfManyLoggers(t *testing.T) {
	for name, w := range map[string]struct {
		text string
		o    LogOptions
	}{
		"plain":          {"time,slab (°C)\n2027-03-14 08:00,20\n2027-03-14 09:00,21.5\n2027-03-14 10:00,23\n", LogOptions{}},
		"fahrenheit":     {"Time,Slab °F\n2027-03-14 08:00,68\n2027-03-14 09:00,70.7\n2027-03-14 10:00,73.4\n", LogOptions{}},
		"by option":      {"time,slab\n2027-03-14 08:00,68\n2027-03-14 09:00,70.7\n2027-03-14 10:00,73.4\n", LogOptions{Fahrenheit: yes()}},
		"semicolon":      {"Datum/Date;Beton (degC)\n14.03.2027 08:00;20,0\n14.03.2027 09:00;21,5\n14.03.2027 10:00;23,0\n", LogOptions{}},
		"tab, two zones": {"timestamp\tslab [C]\n2027-03-14T08:00:00Z\t20\n2027-03-14T10:00:00+01:00\t21.5\n2027-03-14T10:00:00Z\t23\n", LogOptions{}},
		"US dates":       {"Date,Time,Slab (C)\n3/14/2027,8:00 AM,20\n3/14/2027,9:00 AM,21.5\n3/14/27,10:00 AM,23\n", LogOptions{}},
		"day first":      {"Date,Time,Slab (C)\n14/03/2027,08:00,20\n14/03/2027,09:00:00,21.5\n14/03/2027,10:00,23\n", LogOptions{}},
		"preamble":       {"\ufeffLogger 7, serial 123\nProbe at,A-3\n\n#,Date-Time,Slab (°C),Battery (V)\n1,2027-03-14 08:00:00,20,3.1\n2,2027-03-14 09:00:00,21.5 °C,3.1\n3,2027-03-14 10:00:00,23,3.1\n", LogOptions{}},
		"hours":          {"elapsed hours,slab (°C)\n0,20\n1,21.5\n2,23\n", LogOptions{Start: time.Date(2027, 3, 14, 8, 0, 0, 0, time.UTC)}},
		"minutes":        {"elapsed (min),slab (°C)\n0,20\n60,21.5\n120,23\n", LogOptions{Start: time.Date(2027, 3, 14, 8, 0, 0, 0, time.UTC)}},
		"latin-1":        {"time,slab (\xb0C)\n2027-03-14 08:00,20\n2027-03-14 09:00,21.5\n2027-03-14 10:00,23\n", LogOptions{}},
		"crlf, quotes":   {"\"time\",\"slab (C)\"\r\n\"2027-03-14 08:00\",\"20\"\r\n\"2027-03-14 09:00\",\"21.5\"\r\n\"2027-03-14 10:00\",\"23\"\r\n", LogOptions{}},
	} {
		l := read(t, w.text, w.o)
		if len(l.Sensors) != 1 || len(l.Bad) != 0 || len(l.Sensors[0].Readings) != 3 {
			t.Errorf("%s: %+v", name, l)
			continue
		}
		for i, r := range l.Sensors[0].Readings {
			at := time.Date(2027, 3, 14, 8+i, 0, 0, 0, time.UTC)
			if !r.At.Equal(at) || math.Abs(float64(r.T)-(20+1.5*float64(i))) > 1e-9 {
				t.Errorf("%s: reading %d is %s at %s", name, i, r.T.Text(quantity.Metric), r.At)
			}
		}
	}
}

// Bad rows and cells are left out and named by their row of the file; the rest counts.
func TestBadRowsAreNamed(t *testing.T) {
	l := read(t, `Logger 12
time,north (°C),middle (°C)
2027-03-02 08:00,20,21
2027-03-02 09:00,---,22
2027-03-02 09:00,20,22
yesterday,20,22
2027-03-02 10:00,999,22.5

2027-03-02 08:30,20,22
2027-03-02 11:00,21
2027-03-02 12:00,21,22,5,7
2027-03-02 13:00,NaN,70 °F
2027-03-02 22:00,19,20
`, LogOptions{})
	var got []string
	for _, b := range l.Bad {
		got = append(got, b.String())
	}
	want := []string{
		`row 4, north (°C): "---" is no temperature`,
		`row 5: its time is that of the row before it`,
		`row 6: "yesterday" is no time that can be read: write it as 2027-03-02 14:30`,
		`row 7, north (°C): "999" cannot be: a temperature between -45 °C and 105 °C is expected`,
		`row 9: its time 2027-03-02 08:30:00 is before that of an earlier row, 2027-03-02 10:00:00`,
		`row 10, middle (°C): no temperature`,
		`row 11: it has 5 cells under 3 headings`,
		`row 12, north (°C): "NaN" is no temperature`,
		`row 12, middle (°C): "70 °F" has another unit than its column`,
	}
	if fmt.Sprint(strings.Join(got, "\n")) != strings.Join(want, "\n") {
		t.Errorf("got\n%s\nwant\n%s", strings.Join(got, "\n"), strings.Join(want, "\n"))
	}
	if n, m := len(l.Sensors[0].Readings), len(l.Sensors[1].Readings); n != 3 || m != 4 {
		t.Errorf("%d and %d readings, want 3 and 4", n, m)
	}
	gaps := l.Gaps(2)
	if g := gaps["north (°C)"]; len(g) != 2 || g[0].FromRow != 3 || g[0].ToRow != 10 || g[1].ToRow != 13 {
		t.Errorf("gaps of north: %+v", g)
	}
}

// What cannot be known is asked, not guessed.
func TestLogsThatCannotBeRead(t *testing.T) {
	for name, w := range map[string]struct {
		text string
		o    LogOptions
		want string
	}{
		"no heading":      {"2027-03-02 08:00,20\n", LogOptions{}, "no row names the columns"},
		"empty":           {"", LogOptions{}, "no row names the columns"},
		"no unit":         {"time,slab\n2027-03-02 08:00,20\n", LogOptions{}, `column "slab" does not say its unit`},
		"other unit":      {"time,slab (°F)\n2027-03-02 08:00,68\n", LogOptions{Fahrenheit: no()}, "another unit than was asked for"},
		"two units":       {"time,slab °C °F\n2027-03-02 08:00,68\n", LogOptions{}, "two units"},
		"no temperatures": {"time,battery\n2027-03-02 08:00,3\n", LogOptions{}, "no column of temperatures"},
		"day or month":    {"date,slab (C)\n03/04/2027 08:00,20\n04/04/2027 08:00,20\n", LogOptions{}, "row 2: day and month cannot be told apart"},
		"both orders":     {"date,slab (C)\n13/04/2027 08:00,20\n04/14/2027 08:00,20\n", LogOptions{}, "do not go together"},
		"other order":     {"date,slab (C)\n13/04/2027 08:00,20\n", LogOptions{DayFirst: no()}, "another order than was asked for"},
		"no start":        {"hours,slab (C)\n0,20\n", LogOptions{}, "counts from a start"},
		"no reading":      {"time,slab (C)\n2027-03-02 08:00,x\n", LogOptions{}, `no reading that can be used: row 2, slab (C): "x" is no temperature`},
		"no rows":         {"time,slab (C)\n", LogOptions{}, "no row follows"},
		"twice":           {"time,slab (C),slab (C)\n2027-03-02 08:00,20,20\n", LogOptions{}, "two columns"},
	} {
		_, err := ReadLog(strings.NewReader(w.text), w.o)
		if err == nil || !strings.Contains(err.Error(), w.want) {
			t.Errorf("%s: %v, want %q", name, err, w.want)
		}
	}
}

// Any bytes give an error or a log whose readings go up in time, can be, and come
// from rows of the file.
func FuzzReadLog(f *testing.F) {
	for _, s := range []string{
		"time,slab (°C)\n2027-03-14 08:00,20\n2027-03-14 09:00,21.5\n",
		"Datum/Date;a (degC);b [F]\n14.03.2027 08:00;20,0;70\n",
		"x\n\nelapsed (min)\tslab (F)\n0\t68\n1e3\t\"70\n",
		"date,time,t (C)\n3/14/27,8:00 PM,1\n",
	} {
		f.Add(s)
	}
	start := time.Date(2027, 1, 1, 0, 0, 0, 0, time.UTC)
	f.Fuzz(func(t *testing.T, text string) {
		l, err := ReadLog(strings.NewReader(text), LogOptions{Start: start})
		if err != nil {
			return
		}
		lines := strings.Count(text, "\n") + 1
		some := 0
		for _, s := range l.Sensors {
			for i, r := range s.Readings {
				some++
				if r.Row < 1 || r.Row > lines || !(r.T >= coldest && r.T <= hottest) || i > 0 && !r.At.After(s.Readings[i-1].At) {
					t.Fatalf("sensor %q reading %d: %+v", s.Name, i, r)
				}
			}
		}
		if some == 0 {
			t.Fatal("no reading and no error")
		}
		for _, b := range l.Bad {
			if b.Row < 1 || b.Row > lines || b.Why == "" {
				t.Fatalf("%+v of %d lines", b, lines)
			}
		}
	})
}

// The log of the test data, of two sensors over three days in an invented slab.
func TestLogFile(t *testing.T) {
	f, err := os.Open(filepath.Join("testdata", "slab.csv"))
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	l, err := ReadLog(f, LogOptions{})
	if err != nil {
		t.Fatal(err)
	}
	m, err := Factor(0)
	if err != nil {
		t.Fatal(err)
	}
	placed := time.Date(2027, 3, 2, 8, 0, 0, 0, time.UTC)
	points, coldest, err := m.Lowest(l.Sensors, placed, 13)
	if err != nil {
		t.Fatal(err)
	}
	// Six intervals of 12 h with means of 20, 25, 22, 15, 12, 10 °C: 1248 °C·h, the
	// published relation worked apart; the other sensor is 2 °C warmer throughout.
	if got := points[len(points)-1].Maturity; math.Abs(got-1248) > 1e-9 || coldest != "edge (°C)" {
		t.Errorf("%g °C·h at %s, want 1248 at edge (°C)", got, coldest)
	}
	at, _, ok := When(points, 804)
	if !ok || !at.Equal(placed.Add(36*time.Hour)) {
		t.Errorf("804 °C·h at %s, want 36 h after placing", at)
	}
}
