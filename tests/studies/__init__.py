"""What is measured rather than tested: studies, their worlds, fuzz, mutation; see RESULTS.md."""
