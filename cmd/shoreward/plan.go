package main

import (
	"errors"
	"io"
	"os"
	"path/filepath"
	"time"

	"github.com/schollz/progressbar/v3"
	"github.com/spf13/cobra"
	"golang.org/x/term"

	"shoreward/internal/catalog"
	"shoreward/internal/deck"
	"shoreward/internal/job"
	"shoreward/internal/plan"
)

func planCommand() *cobra.Command {
	var out, outlines, from string
	var quiet bool
	c := &cobra.Command{
		Use:   "plan JOB.yaml -o DIR",
		Short: "Lay out, prove, draw and count every pour of a job",
		Long: `Plan every pour of a job file and write into DIR:

  drawings.pdf       a plan sheet a pour, a section, prop settings, gear
  calculations.pdf   every governing check, to follow by hand
  takeoff.xlsx       gear, panels to cut, prop settings
  plan.json          everything placed and computed, for ` + "`shoreward audit`" + ` and other programs
  summary.json       the figures of every pour

What fails, is short or could not be planned is said with where and by how much,
and the exit status is then 1. A job file with mistakes gives one message for each
of them, and status 2.

With --from, DIR holds the plan of the job as it was: every pour keeps the parts that
the change does not touch, changes.json and a sheet of the drawings say what is kept,
moved, added and removed, part by part. A pour that cannot keep its layout is laid
afresh, and why is said.

With --outlines, FILE holds many building outlines instead of a job: each is planned
as one flat slab on a grid of columns and audited, and DIR gets outlines.csv and
summary.json.`,
		Example: `  shoreward plan job.yaml -o out
  shoreward plan job.yaml -o out-2 --from out
  shoreward plan --outlines footprints.json -o out`,
		Args: func(c *cobra.Command, args []string) error {
			if outlines != "" {
				return exactly()(c, args)
			}
			return exactly("JOB.yaml")(c, args)
		},
		RunE: func(c *cobra.Command, args []string) error {
			if out == "" {
				return usage(c, errors.New("say with -o where the results go"))
			}
			if from != "" && outlines != "" {
				return usage(c, errors.New("--from goes with a job, not with --outlines"))
			}
			if outlines != "" {
				return planOutlines(c.OutOrStdout(), outlines, out, quiet)
			}
			j, err := job.Load(args[0], catalog.Load)
			if err != nil {
				return err
			}
			if j.Catalog != "" && !filepath.IsAbs(j.Catalog) {
				j.Catalog = filepath.Join(filepath.Dir(args[0]), j.Catalog)
			}
			return planJob(c.OutOrStdout(), j, out, from, quiet)
		},
	}
	c.Flags().StringVarP(&out, "output", "o", "", "folder to write into; it is made when it is not there")
	c.Flags().StringVar(&outlines, "outlines", "", "plan every outline of this file instead of a job")
	c.Flags().StringVar(&from, "from", "", "folder of an earlier plan, whose parts are kept where the change lets them")
	c.Flags().BoolVarP(&quiet, "quiet", "q", false, "no progress, and print only what needs attention")
	return c
}

// planJob plans a job into a folder, from an earlier plan where there is one, and
// prints what came of it.
func planJob(w io.Writer, j *job.Job, dir, from string, quiet bool) error {
	var old *deck.Document
	if from != "" {
		var err error
		if old, err = plan.ReadEarlier(from, dir); err != nil {
			return err
		}
		if err := plan.StartsFrom(j, old); err != nil {
			return err
		}
	}
	if err := plan.Folder(dir); err != nil {
		return err
	}
	cat, err := catalog.Load(j.Catalog)
	if err != nil {
		return err
	}
	start := time.Now()
	doc, starts, err := plan.RunFrom(j, cat, old, progress("planning", quiet))
	if err != nil {
		return err
	}
	open := plan.FollowStoreys(j, doc, cat, progress("storeys", quiet))
	result := plan.Result{Doc: doc, Open: open, Seconds: time.Since(start).Seconds()}
	if old != nil {
		result.Changes = plan.Changes(old, doc, starts)
	}
	paths, err := result.Write(dir)
	if err != nil {
		return err
	}
	if !printPlan(w, result, paths, quiet) {
		return errFails
	}
	return nil
}

// progress draws a bar on a terminal; elsewhere it says nothing.
func progress(what string, quiet bool) plan.Progress {
	if quiet || !term.IsTerminal(int(os.Stderr.Fd())) {
		return nil
	}
	var bar *progressbar.ProgressBar
	return func(done, total int, name string) {
		if bar == nil {
			bar = progressbar.NewOptions(total, progressbar.OptionSetWriter(os.Stderr), progressbar.OptionClearOnFinish(), progressbar.OptionShowCount())
		}
		bar.Describe(what + ": " + name)
		_ = bar.Set(done) // a bar that cannot be drawn is no reason to stop
	}
}
