"""The recogniser's model read with numpy against the recogniser itself (pocketsphinx), which logs its scores."""

from __future__ import annotations

import re
import shutil
from functools import cache

import numpy as np
import pytest

from timing.hearing.acoustic_model import (
    ALONE,
    BEGINS,
    MODEL_PHONES,
    PLAIN_STATES,
    UNIT_NATS,
    acoustic_model,
)
from timing.hearing.recogniser import model_folder
from timing.hearing.sound_features import band_energies, features_of
from timing.plain.errors import TimingError


@cache
def made_up_sound():
    """Two seconds of pulses through a few resonances and of hiss, over faint noise: something like speech."""
    dice = np.random.default_rng(5)
    at = np.arange(32_000)
    pulses = (at % 128 == 0) * 9000.0
    sound = dice.normal(0, 60, len(at))
    for begin, hertz in ((2000, (700, 1100, 2500)), (9000, (300, 2300, 3000)), (17_000, (350, 800, 2300))):
        part = pulses[:6000]
        for f in hertz:
            ring = np.exp(-np.arange(800) / 90) * np.cos(2 * np.pi * f * np.arange(800) / 16_000)
            part = np.convolve(part, ring)[:6000] / 2
        sound[begin : begin + 6000] += part
    sound[24_000:28_000] += np.diff(dice.normal(0, 900, 4001))
    return np.clip(sound, -30_000, 30_000).astype(np.int16)


@pytest.fixture(scope="module")
def quiet_model(tmp_path_factory):
    """The model with the library's noise removal off: that step is not ours."""
    folder = tmp_path_factory.mktemp("model") / "en-us"
    shutil.copytree(model_folder(), folder)
    settings = folder / "feat.params"
    settings.write_text(settings.read_text().replace("remove_noise yes", "remove_noise no"))
    return folder


def scores_of_the_recogniser(samples, model, folder):
    """Return what the library itself says of each state at each step, from its own log; 16 Gaussians count."""
    import pocketsphinx

    words, log = folder / "words.dict", folder / "log"
    words.write_text("any AH\n")
    log.mkdir()
    decoder = pocketsphinx.Decoder(
        hmm=str(model), dict=str(words), lm=None, samprate=16000, loglevel="FATAL", bestpath=False,
        cmn="batch", compallsen=True, senlogdir=str(log), topn=16,
    )  # fmt: skip
    decoder.set_align_text("any")
    decoder.start_utt()
    try:
        decoder.process_raw(samples.tobytes(), full_utt=True)
        decoder.end_utt()
    except RuntimeError:
        pass
    raw = next(log.iterdir()).read_bytes()
    states = int(re.search(rb"n_sen (\d+)", raw)[1])
    rows = np.frombuffer(raw[raw.index(b"endhdr\n") + 11 :], "<i2")
    count = len(rows) // (states + 1)
    return rows[: count * (states + 1)].reshape(count, states + 1)[:, 1:].astype(np.float32)


def test_scores_are_the_recognisers_own(quiet_model, tmp_path):
    samples = made_up_sound()
    theirs = scores_of_the_recogniser(samples, quiet_model, tmp_path)
    ours = acoustic_model().costs(features_of(samples), range(theirs.shape[1]))
    count = min(len(theirs), len(ours))
    assert count > 190
    theirs, ours = (x[:count] - x[:count].min(axis=1, keepdims=True) for x in (theirs, ours))
    # The library rounds each stream's cost to a whole unit and leaves the least likely Gaussians out.
    assert np.median(np.abs(ours - theirs)) < 3
    likely = theirs < 60
    assert np.median(np.abs(ours - theirs)[likely]) < 2
    assert np.percentile(np.abs(ours - theirs)[likely], 95) < 12
    assert np.mean(ours.argmin(axis=1) == theirs.argmin(axis=1)) > 0.8
    # One step earlier or later everything would be far off.
    assert np.median(np.abs(ours[1:] - theirs[:-1])) > 10


def test_a_state_costs_what_its_gaussians_say():
    # Worked out state by state from the definition of a mixture, in double precision.
    model = acoustic_model()
    features = features_of(made_up_sound())[50:53]
    state = int(model.states("AH", "B", "T", BEGINS)[1])
    phone = int(model.owner[state])
    assert MODEL_PHONES[phone] == "AH"
    for step, x in enumerate(features.astype(np.float64)):
        total = 0.0
        for stream in range(3):
            y = x[13 * stream : 13 * stream + 13]
            mean, variance = (a[phone, stream].astype(np.float64) for a in (model.means, model.variances))
            logs = -0.5 * ((y - mean) ** 2 / variance + np.log(2 * np.pi * variance)).sum(axis=1)
            total += np.log(np.sum(np.exp(logs - UNIT_NATS * model.weights[stream][:, state])))
        assert model.costs(features, [state])[step, 0] * UNIT_NATS == pytest.approx(-total, rel=1e-3)


def test_plain_states_come_first_and_a_context_never_learnt_is_plain():
    model = acoustic_model()
    assert model.rows[: len(MODEL_PHONES)].ravel().tolist() == list(range(PLAIN_STATES))
    plain = [3 * MODEL_PHONES.index("ZH") + k for k in range(3)]
    assert model.states("ZH", "+NSN+", "+SPN+", ALONE).tolist() == plain
    assert model.states("AH", "B", "T", BEGINS).tolist() != [3 * MODEL_PHONES.index("AH") + k for k in range(3)]


def test_a_model_with_blunted_gaussians_is_less_sure():
    model, features = acoustic_model(), features_of(made_up_sound())
    spread = [np.ptp(m.costs(features, range(PLAIN_STATES)), axis=1).mean() for m in (model, model.blunted(1.5))]
    assert spread[1] < 0.95 * spread[0]


def test_silence_has_features_too():
    energies = band_energies(np.zeros(1600, np.int16))
    assert energies.shape == (10, 25)
    assert np.isfinite(features_of(np.zeros(1600, np.int16))).all()


@pytest.mark.parametrize(
    ("name", "change", "says"),
    [
        ("feat.params", lambda raw: raw.replace(b"-nfilt 25", b"-nfilt 40"), "its nfilt is 40, not 25"),
        ("mdef", lambda raw: raw.replace(b"\0AO\0", b"\0OA\0"), "it has 42 phones"),
        ("means", lambda raw: raw[:-4000], "buffer"),
        ("variances", lambda raw: raw.replace(b"endhdr\n\x44\x33\x22\x11\x2a", b"endhdr\n\x44\x33\x22\x11\x2b"), "variances"),
        ("sendump", lambda raw: raw[:600], "buffer"),
        ("mdef", None, "No such file"),
    ],
)  # fmt: skip
def test_a_model_that_is_not_the_one_we_know_is_an_error_of_one_sentence(quiet_model, tmp_path, name, change, says):
    for file in quiet_model.iterdir():
        if file.name != name:
            shutil.copy(file, tmp_path / file.name)
        elif change:
            raw = change(file.read_bytes())
            assert raw != file.read_bytes()
            (tmp_path / name).write_bytes(raw)
    with pytest.raises(TimingError, match="install pocketsphinx 5 again") as error:
        acoustic_model(str(tmp_path))
    assert says in str(error.value)
    assert "\n" not in str(error.value)
