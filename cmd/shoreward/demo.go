package main

import (
	"errors"
	"fmt"
	"path/filepath"

	"github.com/spf13/cobra"

	"shoreward/examples"
	"shoreward/internal/catalog"
	"shoreward/internal/job"
	"shoreward/internal/plan"
)

func demoCommand() *cobra.Command {
	var out string
	c := &cobra.Command{
		Use:   "demo",
		Short: "Plan an invented five-storey building and say what to look at",
		Long: `Plan Heron Court, an invented five-storey concrete frame with a stair and lift core,
openings, a slanted corner, a set-back and a floor in two pours. Its job file is written
beside the results: change it and plan again.`,
		Example: `  shoreward demo
  shoreward demo -o look`,
		Args: exactly(),
		RunE: func(c *cobra.Command, _ []string) error {
			w := c.OutOrStdout()
			path := filepath.Join(out, examples.HeronCourtFile)
			j, err := job.Parse(path, examples.HeronCourt, catalog.Load)
			if err != nil {
				return err
			}
			if err := plan.Folder(out); err != nil {
				return err
			}
			if err := plan.WriteFile(path, examples.HeronCourt); err != nil {
				return err
			}
			done := planJob(w, j, out, "", false)
			if done != nil && !errors.Is(done, errFails) {
				return done
			}
			fmt.Fprintf(w, `
Now open, in this order:
  %-34s the job: what you would write yourself
  %-34s the sheets for the crew, a plan of every pour first
  %-34s the checks, for the engineer to follow by hand
  %-34s gear, panels to cut, prop settings
Then change the job and run: shoreward plan %s -o %s
`, path, filepath.Join(out, "drawings.pdf"), filepath.Join(out, "calculations.pdf"), filepath.Join(out, "takeoff.xlsx"), path, out)
			return done
		},
	}
	c.Flags().StringVarP(&out, "output", "o", "shoreward-demo", "folder to write into")
	return c
}
