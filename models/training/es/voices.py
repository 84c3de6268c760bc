"""Which voices train, tune and test for Spanish; data. A voice is in one list only.

Kokoro's speakers are as for English; those of other languages speak Spanish with an accent.
Festival's "el" is Debian's `festvox-ellpc11k` (non-free: research and individual use), so nothing
learns from it.
"""

NATIVE = ("ef_dora",)
FOREIGN = (
    *("af_alloy", "af_bella", "af_jessica", "af_kore", "af_nova", "af_river", "af_sky", "am_adam"),
    *("am_echo", "am_fenrir", "am_liam", "am_onyx", "am_puck", "bf_alice", "bf_isabella"),
    *("bm_daniel", "bm_lewis", "ff_siwis", "hf_alpha", "hm_omega", "im_nicola", "jf_alpha"),
    *("jm_kumo", "pm_alex", "pm_santa", "zf_xiaoni", "zm_yunxi"),
)
ESPEAK_ACCENTS = ("es-419", "es-419", "es-419", "es")
ESPEAK_VARIANTS = (
    *("m1", "m2", "m4", "m5", "m6", "m8", "f1", "f4", "f5", "klatt", "klatt2", "klatt4"),
    *("Alex", "Andy", "Denis", "Gene", "Jacky", "Lee", "Mario", "Michael", "Mike", "Nguyen"),
    *("Alicia", "Andrea", "Marco", "Storm", "anika", "aunty", "belinda", "benjamin", "caleb"),
    *("david", "ed", "edward", "iven", "john", "kaukovalta", "linda", "marcelo", "max", "michel"),
    *("miguel", "pablo", "paul", "pedro", "quincy", "robert", "sandro", "shelby", "steph2"),
    *("steph3", "travis", "victor", "zac"),
)
PICO = ("es-ES",)
TUNING_VOICES = (*("espeak-m3", "espeak-f2", "kokoro-em_santa", "kokoro-bf_lily"),)
"""Settings and calibration may be fitted on these; the network never heard them."""
TEST_VOICES = (
    *("festival-el", "espeak-m7", "kokoro-em_alex", "kokoro-if_sara", "kokoro-am_michael"),
)
"""Figures are reported on these."""
