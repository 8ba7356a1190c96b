module squab

go 1.26

require (
	github.com/alecthomas/participle/v2 v2.1.4
	github.com/google/go-cmp v0.7.0
	github.com/spf13/pflag v1.1.0
)
