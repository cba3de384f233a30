package main

import (
	"errors"
	"fmt"
	"io/fs"
	"os"

	"github.com/spf13/cobra"

	"shoreward/internal/job"
	"shoreward/internal/plan"
	"shoreward/internal/quantity"
	"shoreward/internal/rules"
)

func newCommand() *cobra.Command {
	var out, basis string
	var us, metric, schema bool
	c := &cobra.Command{
		Use:   "new",
		Short: "Write a job file to fill in",
		Long: `Write a starter job file with a comment on every key: a small slab with an opening,
a column and a wall, which plans as it is. Change it to yours.

Feet and US rules unless you say otherwise. --metric takes metres and European
rules; --basis takes the rules apart from the units.`,
		Example: `  shoreward new -o job.yaml                  feet, US rules
  shoreward new --metric -o job.yaml         metres, European rules
  shoreward new --schema -o job.schema.json  the JSON Schema, for an editor that checks while you type`,
		Args: exactly(),
		RunE: func(c *cobra.Command, _ []string) error {
			style, name := quantity.US, rules.US
			if metric {
				style, name = quantity.Metric, rules.EU
			}
			switch basis {
			case "":
			case string(rules.US), string(rules.EU):
				name = rules.Name(basis)
			default:
				return usage(c, fmt.Errorf("basis %q is not known: us or eu", basis))
			}
			data := job.Template(style, name)
			if schema {
				var err error
				if data, err = job.Schema(); err != nil {
					return err
				}
			}
			if out == "" {
				_, err := c.OutOrStdout().Write(data)
				return err
			}
			if _, err := os.Stat(out); !errors.Is(err, fs.ErrNotExist) {
				return fmt.Errorf("%s is there already and is not written over; choose another name", out)
			}
			if err := plan.WriteFile(out, data); err != nil {
				return err
			}
			if !schema {
				fmt.Fprintf(c.OutOrStdout(), "%s is written. Change it to your job, then: shoreward plan %s -o out\n", out, out)
			}
			return nil
		},
	}
	c.Flags().StringVarP(&out, "output", "o", "", "file to write; without it the text is printed")
	c.Flags().BoolVar(&us, "us", false, "feet and US rules (the default)")
	c.Flags().BoolVar(&metric, "metric", false, "metres and European rules")
	c.Flags().StringVar(&basis, "basis", "", "design rules: us or eu")
	c.Flags().BoolVar(&schema, "schema", false, "the JSON Schema of the job file instead of a job")
	c.MarkFlagsMutuallyExclusive("us", "metric")
	return c
}
