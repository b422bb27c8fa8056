"""Which layer where and when: candidates, outcomes, choice, rehearsal and reasons."""
