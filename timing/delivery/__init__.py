"""Clips that came back -> whether they hold what the plan asked for, and which take is the best.

In: a plan and the files in ``clips/``. Out: a verdict for each file, findings with figures in frames.
This is no stage of the plan's making: it uses the recording stage's decoder and aligner on finished clips.
"""
