package main

import (
	"fmt"
	"io"
	"path/filepath"
	"time"

	"shoreward/internal/catalog"
	"shoreward/internal/outlines"
	"shoreward/internal/plan"
)

// planOutlines plans every outline of a file and writes the table of results.
func planOutlines(w io.Writer, path, dir string, quiet bool) error {
	list, err := outlines.Read(path)
	if err != nil {
		return err
	}
	if err := plan.Folder(dir); err != nil {
		return err
	}
	cat, err := catalog.Load("")
	if err != nil {
		return err
	}
	start := time.Now()
	rows := outlines.Run(list, cat, progress("outlines", quiet))
	s := outlines.Summarize(rows)
	s.Seconds = time.Since(start).Seconds()
	table, err := outlines.CSV(rows)
	if err != nil {
		return err
	}
	figures, err := plan.JSON(s)
	if err != nil {
		return err
	}
	if err := plan.WriteFile(filepath.Join(dir, "outlines.csv"), table); err != nil {
		return err
	}
	if err := plan.WriteFile(filepath.Join(dir, "summary.json"), figures); err != nil {
		return err
	}
	for _, r := range rows {
		switch {
		case r.Refused != "":
			fmt.Fprintf(w, "%s refused: %s\n", r.ID, r.Refused)
		case r.Failed > 0:
			fmt.Fprintf(w, "%s FAILS in %d place(s), first %s\n", r.ID, r.Failed, r.Fails)
		}
	}
	fmt.Fprintf(w, "%d outlines: %d passed, %d failed, %d refused; %.0f m2 in all, %.0f m2 passed; %d pieces, %d props; %.0f s\n",
		s.Outlines, s.Passed, s.Failed, s.Refused, s.Area, s.PassedArea, s.Pieces, s.Props, s.Seconds)
	if s.Passed < s.Outlines {
		return errFails
	}
	return nil
}
