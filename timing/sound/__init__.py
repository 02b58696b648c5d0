"""Any sound or video file in, samples and facts about them out: the one place that decodes."""
