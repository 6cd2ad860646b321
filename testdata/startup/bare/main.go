// Command bare does as little as a program can that is linked with the libraries wornway stands on: it draws one small
// table and ends. The time of a whole wornway process is held against its time.
package main

import (
	"bytes"
	"fmt"
	"os"

	"github.com/olekukonko/tablewriter"
	_ "github.com/pelletier/go-toml/v2"
	"github.com/spf13/cobra"
	_ "golang.org/x/term"
	_ "gonum.org/v1/gonum/interp"
)

func main() {
	root := &cobra.Command{
		Use:  "bare",
		Args: cobra.NoArgs,
		RunE: func(c *cobra.Command, _ []string) error {
			var b bytes.Buffer
			t := tablewriter.NewTable(&b)
			t.Header([]string{"position", "diameter error"})
			if err := t.Bulk([][]string{{"4", "-0.78"}, {"12", "0.00"}}); err != nil {
				return err
			}
			if err := t.Render(); err != nil {
				return err
			}
			_, err := c.OutOrStdout().Write(b.Bytes())
			return err
		},
	}
	if err := root.Execute(); err != nil {
		fmt.Fprintln(os.Stderr, err)
		os.Exit(1)
	}
}
