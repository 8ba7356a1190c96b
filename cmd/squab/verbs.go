package main

// verbs lists what squab does, in the order in which its help shows them.
func verbs() []*verb {
	return []*verb{cutVerb(), whyVerb(), reachVerb(), checkVerb(), proveVerb(), compareVerb(), seekVerb(), leanVerb(), spreadVerb(), layVerb(), ticketVerb(), bookVerb(), benchVerb(), tidyVerb(), startVerb()}
}
