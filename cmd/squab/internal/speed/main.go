// Command speed runs the benchmarks and writes the table of them that stands in the language reference.
//
//	go run ./cmd/squab/internal/speed          shows the table
//	go run ./cmd/squab/internal/speed -write   puts it in its place
package main

import (
	"bytes"
	"flag"
	"fmt"
	"os"
	"os/exec"
	"runtime"
	"strings"
)

const (
	reference = "lang/REFERENCE.md"
	opening   = "<!-- the table of speeds, written by go run ./cmd/squab/internal/speed -write -->\n"
	closing   = "<!-- end of the table -->\n"
)

func main() {
	write := flag.Bool("write", false, "write the table into the reference")
	flag.Parse()
	if err := run(*write); err != nil {
		fmt.Fprintln(os.Stderr, "speed:", err)
		os.Exit(1)
	}
}

func run(write bool) error {
	results, machine := map[string]result{}, ""
	for _, b := range benchmarks {
		out, err := measure(b)
		if err != nil {
			return err
		}
		machine = read(out, results)
	}
	text := table(results, machine)
	if !write {
		fmt.Print(text)
		return nil
	}
	return put(text)
}

// measure runs one package's benchmarks.
func measure(b benchmark) ([]byte, error) {
	fmt.Fprintln(os.Stderr, "measuring", b.dir)
	cmd := exec.Command("go", "test", "-run", "^$", "-bench", b.pattern, "-benchmem", "-benchtime", b.long, "-count", b.again, "./"+b.dir)
	cmd.Stderr = os.Stderr
	out, err := cmd.Output()
	if err != nil {
		return nil, fmt.Errorf("the benchmarks of %s: %w\n%s", b.dir, err, out)
	}
	return out, nil
}

// put puts a table into the reference in place of the one there.
func put(text string) error {
	page, err := os.ReadFile(reference)
	if err != nil {
		return err
	}
	before, rest, found := bytes.Cut(page, []byte(opening))
	_, after, ended := bytes.Cut(rest, []byte(closing))
	if !found || !ended {
		return fmt.Errorf("%s has no place for the table", reference)
	}
	return os.WriteFile(reference, []byte(string(before)+opening+text+closing+string(after)), 0o666)
}

// busy tells how much other work the machine has, where it says so: that slows what is measured down.
func busy() string {
	load, err := os.ReadFile("/proc/loadavg")
	if err != nil {
		return ""
	}
	average, _, _ := strings.Cut(string(load), " ")
	return ", at a load average of " + average
}

// table writes the rows in Markdown, under a word on the machine.
func table(results map[string]result, machine string) string {
	var b strings.Builder
	fmt.Fprintf(&b, "Measured on %s, %d cores, %s/%s, %s%s. Rates are for one core, by the time that its processor took:\n\n",
		machine, runtime.NumCPU(), runtime.GOOS, runtime.GOARCH, runtime.Version(), busy())
	b.WriteString("| what | measured | allocated for each | goal |\n|---|--:|--:|--:|\n")
	for _, r := range rows {
		res := results[r.bench]
		fmt.Fprintf(&b, "| %s | %s | %s | %s |\n", r.what, r.shown(res), r.allocated(res), r.goal)
	}
	return b.String()
}
