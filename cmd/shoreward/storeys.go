package main

import (
	"fmt"
	"io"
	"os"
	"strings"

	"github.com/spf13/cobra"

	"shoreward/internal/plan"
	"shoreward/internal/quantity"
	"shoreward/internal/storeys"
)

func storeysCommand() *cobra.Command {
	var shores, reshores, levels int
	var forms, live, stiffness float64
	var method, order, operations string
	var loose, asJSON bool
	var out string // folder for sheets and pictures
	var after []int
	c := &cobra.Command{
		Use:   "storeys [JOB.yaml | --shores M --reshores R --levels N]",
		Short: "Follow the load of fresh concrete through shores, reshores and young slabs",
		Long: `With a job whose file has storeys: plan its decks, follow the loads through all its
levels by date, and answer when each pour may be struck, which cycles are safe with
how many levels of shores and reshores, and where the reshores stand. The exit status
is 1 when what the job asks is not safe, with which slab, when and by how much. With -o DIR
it draws the building, the history of every slab, and for every pour a strip and reshore sheet
and a release sheet.

Without a job, follow the load of fresh concrete through M levels of shores, R levels of reshores
and the young slabs below, for every operation of a building of N equal levels:
place, strip, reshore, remove. Loads come in units of the slab's own weight.

The rigid method takes props that do not shorten. With reshores that is not on the
safe side: the elastic method lets them, by the ratio of the stiffness of a slab to
that of the props, both per area, and prints the larger of both beside it.

An order of work of your own comes from a file with an operation a line: place 3,
live off 3, strip 2, reshore 2, remove 1 (the reshores under level 1), snug 2. What
follows # is a comment.`,
		Example: `  shoreward storeys tower.yaml
  shoreward storeys tower.yaml -o out --after 12,27
  shoreward storeys --shores 3 --reshores 0 --levels 12
  shoreward storeys --shores 1 --reshores 2 --levels 12 --forms 0.1 --live 0.5
  shoreward storeys --shores 1 --reshores 2 --levels 12 --ratio 0.5 --json
  shoreward storeys --levels 8 --operations order.txt`,
		Args: cobra.MaximumNArgs(1),
		RunE: func(c *cobra.Command, args []string) error {
			if len(args) == 1 {
				for _, f := range []string{"shores", "reshores", "levels", "forms", "live", "method", "ratio", "order", "operations", "loose"} {
					if c.Flags().Changed(f) {
						return usage(c, fmt.Errorf("--%s goes without a job: the job file says it itself", f))
					}
				}
				return jobStoreys(c.OutOrStdout(), args[0], asJSON, out, after)
			}
			for _, f := range []string{"output", "after"} {
				if c.Flags().Changed(f) {
					return usage(c, fmt.Errorf("--%s goes with a job", f))
				}
			}
			needs := []string{"shores", "reshores", "levels"}
			if operations != "" {
				needs = needs[2:]
			}
			for _, need := range needs {
				if !c.Flags().Changed(need) {
					return usage(c, fmt.Errorf("--%s is missing", need))
				}
			}
			orders := map[string]storeys.Order{"shores-first": storeys.ShoresFirst, "reshores-first": storeys.ReshoresFirst}
			o, ok := orders[order]
			if !ok {
				return usage(c, fmt.Errorf("order %q is not known: shores-first or reshores-first", order))
			}
			if !c.Flags().Changed("method") && c.Flags().Changed("ratio") {
				method = string(storeys.ElasticMethod)
			}
			// Slabs of one stiffness at every age: the days only put the work in order.
			week := storeys.Cycle{Shores: shores, Reshores: reshores, Order: o, Every: 7 * 24, StripAfter: 5 * 24}
			ask := storeys.Ask{Cycle: week, Levels: levels, Forms: quantity.Ratio(forms), Live: quantity.Ratio(live),
				Method: storeys.Method(method), Ratio: quantity.Ratio(stiffness), Loose: loose}
			if operations != "" {
				list, err := readOperations(operations, levels)
				if err != nil {
					return err
				}
				ask.Operations = list
			}
			answer, err := ask.Run()
			if err != nil {
				return usage(c, err)
			}
			if asJSON {
				data, err := plan.JSON(answer)
				if err != nil {
					return err
				}
				_, err = c.OutOrStdout().Write(data)
				return err
			}
			printStoreys(c.OutOrStdout(), answer)
			return nil
		},
	}
	f := c.Flags()
	f.IntVar(&shores, "shores", 0, "levels of shores with forms")
	f.IntVar(&reshores, "reshores", 0, "levels of reshores under them")
	f.IntVar(&levels, "levels", 0, "levels of the building")
	f.Float64Var(&forms, "forms", 0, "weight of forms and shores, in slab weights")
	f.Float64Var(&live, "live", 0, "construction live load on the level being placed, in slab weights")
	f.StringVar(&method, "method", string(storeys.RigidMethod), "rigid or elastic; elastic when --ratio is given")
	f.Float64Var(&stiffness, "ratio", 0, "stiffness of slab over props, per area, for the elastic method")
	f.StringVar(&order, "order", "shores-first", "what comes out first once a level is placed: shores-first or reshores-first")
	f.StringVar(&operations, "operations", "", "file with an order of work of your own, instead of --shores, --reshores and --order")
	c.MarkFlagsMutuallyExclusive("operations", "order")
	f.BoolVar(&loose, "loose", false, "reshores that came loose stay loose; otherwise they are made snug before every placing")
	f.StringVarP(&out, "output", "o", "", "folder for storeys.pdf, storeys.json and the pictures of a job")
	f.IntSliceVar(&after, "after", nil, "numbers of steps after which the building is drawn, besides the worst ones")
	f.BoolVar(&asJSON, "json", false, "print JSON")
	return c
}

// readOperations reads an order of work on so many levels.
func readOperations(path string, levels int) ([]storeys.Operation, error) {
	f, err := os.Open(path)
	if err != nil {
		return nil, err
	}
	defer f.Close()
	ops, err := storeys.ReadOperations(f, levels)
	if err != nil {
		return nil, fmt.Errorf("%s, %w", path, err)
	}
	return ops, nil
}

// printStoreys prints a row an operation. Levels that carry just themselves, with
// nothing under them, are left out.
func printStoreys(w io.Writer, a *storeys.Answer) {
	fmt.Fprintf(w, "Loads in units of the slab weight, %s method. Each level: slab, then S shores or R reshores under it.\n", a.Method)
	fmt.Fprintf(w, "Levels that carry just themselves, with nothing under them, are left out.\n\n")
	for k, op := range a.Operations {
		fmt.Fprintf(w, "%4d  %-32s", k+1, op.Name)
		alone := true
		for i, s := range op.Slabs {
			text := fmt.Sprintf("%.3f", s)
			switch op.Under[i] {
			case "none":
				if text == "1.000" {
					continue
				}
			default:
				text += fmt.Sprintf(" %s%.3f", strings.ToUpper(op.Under[i][:1]), op.Props[i])
			}
			fmt.Fprintf(w, "  L%d %s", i+1, text)
			alone = false
		}
		if alone {
			fmt.Fprint(w, "  every level carries just itself")
		}
		fmt.Fprintln(w)
		if len(op.Snugged) > 0 {
			fmt.Fprintf(w, "      made snug before it: reshores under %s\n", levelList(op.Snugged))
		}
		if len(op.Lifted) > 0 {
			fmt.Fprintf(w, "      come loose by it: props under %s\n", levelList(op.Lifted))
		}
	}
	fmt.Fprintln(w)
	printPeaks(w, "", a.PeakLoads)
	if a.Larger != nil {
		printPeaks(w, "rigid method: ", *a.Rigid)
		printPeaks(w, "the larger of both, to judge by: ", *a.Larger)
	}
	fmt.Fprintln(w)
	for _, n := range a.Notes {
		fmt.Fprintln(w, n)
	}
}

func printPeaks(w io.Writer, of string, p storeys.PeakLoads) {
	one := func(what string, v float64, at *storeys.Where) {
		if at != nil {
			fmt.Fprintf(w, "%speak %s %.3f, level %d, operation %d (%s)\n", of, what, v, at.Level, at.Number, at.Operation)
		}
	}
	one("slab", p.Slab, p.SlabAt)
	one("shores", p.Shore, p.ShoreAt)
	one("reshores", p.Reshore, p.ReshoreAt)
	if p.ShoreOffGround > 0 {
		fmt.Fprintf(w, "%soff the ground: shores %.3f, reshores %.3f\n", of, p.ShoreOffGround, p.ReshoreOffGround)
	}
}

func levelList(levels []int) string {
	var out []string
	for _, l := range levels {
		out = append(out, fmt.Sprintf("level %d", l))
	}
	return strings.Join(out, ", ")
}
