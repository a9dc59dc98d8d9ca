#pragma once
#include "tests/footage/footage.h"
#include "tests/footage/temp_folder.h"
#include <QString>

/// One short film of the bench scene, made at its first use and shared by the tests of this binary.
struct BenchFilm {
    TempFolder folder;
    footage::Truth truth;
    QString path;

    BenchFilm()
    {
        footage::Spec spec;
        spec.camera.width = 320;
        spec.camera.height = 180;
        spec.camera.frames = 400;
        spec.scene.presses = 1;
        spec.storage.gop = 50;
        truth = footage::make(spec, folder / "bench.mp4");
        path = QString::fromStdString((folder / "bench.mp4").string());
    }
};

inline const BenchFilm& benchFilm()
{
    static const BenchFilm film;
    return film;
}
