// Command bot is Duskdawn: it follows dental sleep patients at home while an
// adjustable mandibular advancement appliance is titrated.
package main

func main() {}
