"""One review from arguments to outcome: settings, the stages in order, acceptances, known findings."""
