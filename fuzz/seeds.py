"""Small seeds for the fuzz targets, made from the formats alone: `python3 fuzz/seeds.py`.

WAV by hand (RIFF as published in 1991; format 1 is integers, 3 floating point), tables as oscilloscopes write them, and two channels of pulses as 16-bit samples.
"""
import pathlib
import struct

HERE = pathlib.Path(__file__).resolve().parent / "corpus"


def wav(tag, channels, rate, bits, samples, told=None):
    block = channels * bits // 8
    head = b"fmt " + struct.pack("<IHHIIHH", 16, tag, channels, rate, rate * block, block, bits)
    data = b"data" + struct.pack("<I", len(samples) if told is None else told) + samples
    return b"RIFF" + struct.pack("<I", 4 + len(head) + len(data)) + b"WAVE" + head + data


def put(target, name, data):
    (HERE / target).mkdir(parents=True, exist_ok=True)
    (HERE / target / name).write_bytes(data)


ramp = struct.pack("<32h", *range(-16000, 16000, 1000))
put("recording", "wav16", wav(1, 2, 48000, 16, ramp))
put("recording", "wav8", wav(1, 1, 8000, 8, bytes(range(64))))
put("recording", "wav24", wav(1, 2, 96000, 24, bytes(range(96))))
put("recording", "wav_float", wav(3, 2, 44100, 32, struct.pack("<8f", *[0.1 * i for i in range(8)])))
put("recording", "wav_lies", wav(1, 2, 48000, 16, ramp, 0xFFFFFFF0))
rows = [(i * 0.02, i % 7 * 125.0, i % 3 * 0.5) for i in range(24)]
point = "Time (ms),Channel A (mV),Channel B (V)\n" + "".join(f"{t:.3f},{a:.1f},{b:.2f}\n" for t, a, b in rows)
comma = "Zeit;Kanal A;Kanal B\n(ms);(mV);(V)\n\n" + "".join(f"{t:.3f};{a:.1f};{b:.2f}\n".replace(".", ",") for t, a, b in rows)
put("recording", "table_point", point.encode())
put("recording", "table_comma", comma.encode())
# A turn of 100 samples at an eighth of the rate, the segment's ends 11 apart, a spark at each second one.
frames = bytearray()
for k in range(1200):
    trigger = {10: 12000, 21: -11000}.get(k % 100, 0)
    spark = {20: 15000, 21: -9000}.get(k % 100, 0)
    frames += struct.pack("<hh", trigger, spark)
for first in (0, 3, 9):
    put("hear", f"turns_{first}", bytes([first, 7]) + bytes(frames))
# Firings 40, 60 and 90 samples apart, each a burst of three: four seconds at a sixteenth of 4000 a second.
for first, gap in ((0, 40), (1, 60), (5, 90)):
    burst = {0: 20000, 1: -15000, 2: 6000}
    put("sound", f"gap_{gap}", bytes([first, 20]) + b"".join(struct.pack("<h", burst.get(k % gap, k * 7919 % 2001 - 1000)) for k in range(1000)))
put("machine", "short", b'[machine]\nname = "Pellow 125"\n\n[engine]\nstrokes = 2\nbore = { value = "52 \xc2\xb1 0.02 mm", with = "micrometer" }\n')
put("machine", "wrong", b'[engine]\nbore = "52 furlongs"\nstroke = { value = "1,200 mm" }\n[[engine.cylinder]]\nfires_at = "-720\xc2\xb0"\n')
