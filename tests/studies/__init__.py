"""What is measured rather than tested: studies, their worlds, fuzz; see RESULTS.md."""
