package strength

import (
	"bufio"
	"encoding/csv"
	"errors"
	"fmt"
	"io"
	"math"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"time"
	"unicode/utf8"

	"shoreward/internal/quantity"
)

// Sensor of a log.
type Sensor struct {
	Name     string
	Readings []Reading
}

// BadRow is a row, or one column of it, that was left out and why.
type BadRow struct {
	Row    int    // of the file, from 1
	Column string // empty for the whole row
	Why    string
}

func (b BadRow) String() string {
	if b.Column == "" {
		return fmt.Sprintf("row %d: %s", b.Row, b.Why)
	}
	return fmt.Sprintf("row %d, %s: %s", b.Row, b.Column, b.Why)
}

// Log is what a logger wrote: every sensor's readings in order of time, and all
// that was left out.
type Log struct {
	Sensors []Sensor
	Rows    int // rows with readings, good or bad
	Bad     []BadRow
}

// LogOptions say what a file leaves open. The zero value asks the file.
type LogOptions struct {
	Fahrenheit *bool     // unit, where the heading does not say it
	DayFirst   *bool     // of dates like 03/04/2027, where no date of the file tells
	Start      time.Time // of a log that counts hours from its start
	Zone       *time.Location
}

// Limits of a log.
const (
	mostBytes   = 64 << 20
	mostColumns = 256
	mostRows    = 2_000_000
)

// plausible temperatures of concrete and of air, °C: others are of a broken sensor.
const coldest, hottest quantity.Temperature = -45, 105

// ReadLog reads the log of any temperature logger: rows of a time and the
// temperatures of one or more sensors, apart by comma, semicolon or tab, under a row
// that names the columns; what stands above that row is passed over. The unit comes
// from the headings (°C, °F, C, F, degC ...) or from the options, and is never
// guessed. Rows and cells that cannot be read are left out and listed.
func ReadLog(r io.Reader, o LogOptions) (*Log, error) {
	data, err := io.ReadAll(io.LimitReader(r, mostBytes+1))
	if err != nil {
		return nil, err
	}
	if len(data) > mostBytes {
		return nil, fmt.Errorf("the log is larger than %d MB: cut it to the time since the concrete was placed", mostBytes>>20)
	}
	text := strings.TrimPrefix(string(data), "\ufeff")
	if !utf8.ValidString(text) {
		text = latin1(text)
	}
	comma, head, at, err := heading(text)
	if err != nil {
		return nil, err
	}
	cols, err := columns(head, o)
	if err != nil {
		return nil, fmt.Errorf("row %d: %w", at, err)
	}
	rows, bad := records(text, comma, at, len(head))
	log := &Log{Rows: len(rows) + len(bad), Bad: bad}
	if len(rows) > mostRows {
		return nil, fmt.Errorf("the log has %d rows: at most %d are read", len(rows), mostRows)
	}
	clock, err := cols.clock(rows, o)
	if err != nil {
		return nil, err
	}
	for _, c := range cols.temps {
		log.Sensors = append(log.Sensors, Sensor{Name: c.name})
	}
	var last time.Time
	for _, row := range rows {
		leave := func(column, why string) { log.Bad = append(log.Bad, BadRow{row.n, column, why}) }
		when, err := clock(row.cells)
		switch {
		case err != nil:
			leave("", err.Error())
			continue
		case !last.IsZero() && when.Equal(last):
			leave("", "its time is that of the row before it")
			continue
		case !last.IsZero() && when.Before(last):
			leave("", fmt.Sprintf("its time %s is before that of an earlier row, %s", when.Format(time.DateTime), last.Format(time.DateTime)))
			continue
		}
		last = when
		for i, c := range cols.temps {
			cell := ""
			if c.at < len(row.cells) {
				cell = strings.TrimSpace(row.cells[c.at])
			}
			t, why := temperature(cell, c.fahrenheit, comma)
			if why != "" {
				leave(c.name, why)
				continue
			}
			log.Sensors[i].Readings = append(log.Sensors[i].Readings, Reading{At: when, T: t, Row: row.n})
		}
	}
	slices.SortStableFunc(log.Bad, func(a, b BadRow) int { return a.Row - b.Row })
	for _, s := range log.Sensors {
		if len(s.Readings) > 0 {
			return log, nil
		}
	}
	why := "no row follows the headings"
	if len(log.Bad) > 0 {
		why = log.Bad[0].String()
	}
	return nil, fmt.Errorf("the log has no reading that can be used: %s", why)
}

// latin1 reads bytes that are no UTF-8, mostly for the sign of degrees.
func latin1(s string) string {
	out := make([]rune, 0, len(s))
	for _, b := range []byte(s) {
		out = append(out, rune(b))
	}
	return string(out)
}

// heading finds the separator and the row that names the columns: the first with
// a column of time and a column more, within the first 200.
func heading(text string) (comma rune, head []string, row int, err error) {
	sc := bufio.NewScanner(strings.NewReader(text))
	sc.Buffer(nil, 1<<20)
	for n := 1; sc.Scan() && n <= 200; n++ {
		line := sc.Text()
		for _, c := range []rune{'\t', ';', ','} {
			if !strings.ContainsRune(line, c) {
				continue
			}
			cells, err := split(line, c)
			if err == nil && len(cells) > 1 && len(cells) <= mostColumns && slices.ContainsFunc(cells, isTime) && !slices.ContainsFunc(cells, isNumber) {
				return c, cells, n, nil
			}
		}
	}
	if err := sc.Err(); err != nil {
		return 0, nil, 0, fmt.Errorf("the log cannot be read: %w", err)
	}
	return 0, nil, 0, errors.New(`no row names the columns: one of them must be called time, date or hours, and the temperatures follow, as in "time,north corner (°C)"`)
}

func split(line string, comma rune) ([]string, error) {
	r := csv.NewReader(strings.NewReader(line))
	r.Comma, r.LazyQuotes, r.FieldsPerRecord = comma, true, -1
	cells, err := r.Read()
	for i := range cells {
		cells[i] = strings.TrimSpace(cells[i])
	}
	return cells, err
}

func isNumber(s string) bool {
	_, err := strconv.ParseFloat(strings.TrimSpace(s), 64)
	return err == nil
}

var timeWord = regexp.MustCompile(`(?i)\b(time|date|timestamp|datetime|elapsed|hours?|age)\b`)

func isTime(s string) bool { return timeWord.MatchString(strings.ReplaceAll(s, "_", " ")) }

type column struct {
	name       string
	at         int
	fahrenheit bool
}

// layout of the columns: a time in one or two of them, or counted from the start.
type layout struct {
	when  int // column of the time, or of date and time
	hour  int // column of the time of day beside a date, or -1
	count float64
	temps []column
}

var (
	celsiusMark    = regexp.MustCompile(`(?i)(°\s*c\b|º\s*c\b|\bdeg\.?\s*c\b|\bcelsius\b|[\[(_ ,]c[\])]?$|^c$)`)
	fahrenheitMark = regexp.MustCompile(`(?i)(°\s*f\b|º\s*f\b|\bdeg\.?\s*f\b|\bfahrenheit\b|[\[(_ ,]f[\])]?$|^f$)`)
	passedOver     = regexp.MustCompile(`(?i)^(#|no\.?|nr\.?|id|index|record|row|battery.*|voltage.*|rssi|status|notes?|comments?|.*humidity.*|rh.*|serial.*|)$`)
	counted        = regexp.MustCompile(`(?i)\b(elapsed|hours?|age|hrs?|mins?|minutes|days?|seconds|secs?)\b|\((h|min|d|s)\)`)
	clockOnly      = regexp.MustCompile(`(?i)^\s*time( of day)?\s*$`)
)

// columns reads the headings.
func columns(head []string, o LogOptions) (layout, error) {
	l := layout{when: -1, hour: -1}
	for i, name := range head {
		plain := strings.ReplaceAll(name, "_", " ")
		switch {
		case isTime(name) && l.when < 0:
			l.when = i
			if counted.MatchString(plain) && !regexp.MustCompile(`(?i)\bdate|stamp\b`).MatchString(plain) {
				l.count = unitHours(plain)
			}
		case isTime(name) && l.hour < 0 && clockOnly.MatchString(plain) && regexp.MustCompile(`(?i)\bdate\b`).MatchString(head[l.when]):
			l.hour = i
		case isTime(name) || passedOver.MatchString(plain):
		default:
			c, f := celsiusMark.MatchString(plain), fahrenheitMark.MatchString(plain)
			switch {
			case c && f:
				return l, fmt.Errorf("column %q names two units", name)
			case c || f:
				if o.Fahrenheit != nil && *o.Fahrenheit != f {
					return l, fmt.Errorf("column %q names another unit than was asked for", name)
				}
			case o.Fahrenheit != nil:
				f = *o.Fahrenheit
			default:
				return l, fmt.Errorf("column %q does not say its unit: write °C or °F into the heading, or say which it is", name)
			}
			if slices.ContainsFunc(l.temps, func(t column) bool { return t.name == name }) {
				return l, fmt.Errorf("two columns are called %q", name)
			}
			l.temps = append(l.temps, column{name, i, f})
		}
	}
	if len(l.temps) == 0 {
		return l, errors.New("no column of temperatures is named")
	}
	if l.count > 0 && o.Start.IsZero() {
		return l, fmt.Errorf("column %q counts from a start: say when that was", head[l.when])
	}
	return l, nil
}

// unitHours is the unit of a column that counts, in hours.
func unitHours(name string) float64 {
	for _, u := range []struct {
		word string
		size float64
	}{{`(?i)\bdays?\b|\(d\)`, 24}, {`(?i)\bmin(ute)?s?\b`, 1.0 / 60}, {`(?i)\bsec(ond)?s?\b|\(s\)`, 1.0 / 3600}} {
		if regexp.MustCompile(u.word).MatchString(name) {
			return u.size
		}
	}
	return 1
}

type record struct {
	n     int
	cells []string
}

// records are the rows under the headings. A row that is no record, or has more
// cells than there are headings, is bad; blank ones are passed over. Quotes do not
// run over lines.
func records(text string, comma rune, head, width int) (rows []record, bad []BadRow) {
	sc := bufio.NewScanner(strings.NewReader(text))
	sc.Buffer(nil, 1<<20)
	for n := 1; sc.Scan(); n++ {
		line := sc.Text()
		if n <= head || strings.TrimSpace(line) == "" {
			continue
		}
		cells, err := split(line, comma)
		switch {
		case err != nil:
			bad = append(bad, BadRow{Row: n, Why: "it cannot be read as a row of cells"})
		case len(cells) > width && slices.ContainsFunc(cells[width:], func(c string) bool { return c != "" }):
			bad = append(bad, BadRow{Row: n, Why: fmt.Sprintf("it has %d cells under %d headings", len(cells), width)})
		default:
			rows = append(rows, record{n, cells})
		}
	}
	if err := sc.Err(); err != nil {
		bad = append(bad, BadRow{Row: head + len(rows) + len(bad) + 1, Why: "it and what follows cannot be read: " + err.Error()})
	}
	return rows, bad
}

// temperature of a cell in °C, or why it is none.
func temperature(cell string, fahrenheit bool, comma rune) (t quantity.Temperature, why string) {
	text := strings.TrimSpace(strings.TrimRight(cell, "°CFcf "))
	if comma != ',' && strings.Count(text, ",") == 1 && !strings.Contains(text, ".") {
		text = strings.Replace(text, ",", ".", 1)
	}
	if text == "" {
		return 0, "no temperature"
	}
	v, err := strconv.ParseFloat(text, 64)
	if err != nil || math.IsNaN(v) || math.IsInf(v, 0) {
		return 0, fmt.Sprintf("%q is no temperature", short(cell))
	}
	if own := strings.TrimSpace(strings.TrimLeft(cell, "+-0123456789.,eE ")); own != "" {
		if said := fahrenheitMark.MatchString(" " + own); (said || celsiusMark.MatchString(" "+own)) && said != fahrenheit {
			return 0, fmt.Sprintf("%q has another unit than its column", short(cell))
		}
	}
	if t = quantity.Temperature(v); fahrenheit {
		t = quantity.Fahrenheit(v)
	}
	if t < coldest || t > hottest {
		return 0, fmt.Sprintf("%q cannot be: a temperature between %g °C and %g °C is expected", short(cell), float64(coldest), float64(hottest))
	}
	return t, ""
}

func short(s string) string {
	if r := []rune(s); len(r) > 40 {
		return string(r[:40]) + "..."
	}
	return s
}

// clock reads the time of a row.
func (l layout) clock(rows []record, o LogOptions) (func(cells []string) (time.Time, error), error) {
	zone := o.Zone
	if zone == nil {
		zone = time.UTC
	}
	text := func(cells []string) string {
		if l.when >= len(cells) {
			return ""
		}
		s := cells[l.when]
		if l.hour >= 0 && l.hour < len(cells) {
			s += " " + cells[l.hour]
		}
		return strings.Join(strings.Fields(s), " ")
	}
	if l.count > 0 {
		return func(cells []string) (time.Time, error) {
			v, err := strconv.ParseFloat(strings.Replace(text(cells), ",", ".", 1), 64)
			if err != nil || !(v >= 0 && v*l.count < 1e6) {
				return time.Time{}, fmt.Errorf("%q is no time since the start", short(text(cells)))
			}
			return o.Start.Add(time.Duration(math.Round(v * l.count * float64(time.Hour)))), nil
		}, nil
	}
	dayFirst, err := order(rows, text, o)
	if err != nil {
		return nil, err
	}
	return func(cells []string) (time.Time, error) {
		s := text(cells)
		if s == "" {
			return time.Time{}, errors.New("no time")
		}
		when, ok := stamp(s, dayFirst, zone)
		if !ok || when.Year() < 1970 || when.Year() > 2200 {
			return time.Time{}, fmt.Errorf("%q is no time that can be read: write it as 2027-03-02 14:30", short(s))
		}
		return when, nil
	}, nil
}

var slashed = regexp.MustCompile(`^(\d{1,2})[/.-](\d{1,2})[/.-](\d{2}|\d{4})\b`)

// order finds whether days come before months in dates like 03/04/2027: any date
// of the file with a number over 12 tells.
func order(rows []record, text func([]string) string, o LogOptions) (dayFirst bool, err error) {
	first, second, open := 0, 0, 0
	for _, row := range rows {
		m := slashed.FindStringSubmatch(text(row.cells))
		if m == nil {
			continue
		}
		a, _ := strconv.Atoi(m[1])
		b, _ := strconv.Atoi(m[2])
		switch {
		case a > 12 && b <= 12:
			first = row.n
		case b > 12 && a <= 12:
			second = row.n
		case a != b:
			if open == 0 {
				open = row.n
			}
		}
	}
	switch {
	case first > 0 && second > 0:
		return false, fmt.Errorf("row %d has its day first and row %d its month: the dates do not go together", first, second)
	case o.DayFirst != nil && (first > 0 && !*o.DayFirst || second > 0 && *o.DayFirst):
		return false, fmt.Errorf("row %d has day and month in another order than was asked for", max(first, second))
	case o.DayFirst != nil:
		return *o.DayFirst, nil
	case first == 0 && second == 0 && open > 0:
		return false, fmt.Errorf("row %d: day and month cannot be told apart: say which comes first", open)
	}
	return first > 0, nil
}

var stamps = []string{
	"2006-01-02 15:04:05", "2006-01-02 15:04", "2006-01-02T15:04:05", "2006-01-02T15:04", "2006/01/02 15:04:05", "2006/01/02 15:04",
	"2006-01-02 3:04:05 PM", "2006-01-02 3:04 PM",
}

// stamp reads a time. A stamp with its own zone keeps it.
func stamp(s string, dayFirst bool, zone *time.Location) (time.Time, bool) {
	for _, f := range []string{time.RFC3339, "2006-01-02 15:04:05Z07:00", "2006-01-02 15:04:05 -0700"} {
		if t, err := time.Parse(f, s); err == nil {
			return t, true
		}
	}
	for _, f := range stamps {
		if t, err := time.ParseInLocation(f, strings.ToUpper(s), zone); err == nil {
			return t, true
		}
	}
	m := slashed.FindStringSubmatch(s)
	if m == nil {
		return time.Time{}, false
	}
	month, day, year := m[1], m[2], m[3]
	if dayFirst {
		month, day = day, month
	}
	if len(year) == 2 {
		year = "20" + year
	}
	rest := strings.TrimSpace(strings.TrimPrefix(s, m[0]))
	for _, f := range []string{"15:04:05", "15:04", "3:04:05 PM", "3:04 PM"} {
		if t, err := time.ParseInLocation("1/2/2006 "+f, month+"/"+day+"/"+year+" "+strings.ToUpper(rest), zone); err == nil {
			return t, true
		}
	}
	return time.Time{}, false
}

// Gaps of every sensor's log longer than they may be.
func (l *Log) Gaps(most quantity.Duration) map[string][]Gap {
	out := map[string][]Gap{}
	for _, s := range l.Sensors {
		for i := 1; i < len(s.Readings); i++ {
			a, b := s.Readings[i-1], s.Readings[i]
			if quantity.Duration(b.At.Sub(a.At).Hours()) > most {
				out[s.Name] = append(out[s.Name], Gap{a.At, b.At, a.Row, b.Row})
			}
		}
	}
	return out
}
