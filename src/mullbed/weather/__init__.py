"""Weather from station files, past years as possible futures, and monthly means as a guess."""
