#include "core/media/index/libraries.h"

extern "C" {
#include <libavcodec/avcodec.h>
#include <libavformat/avformat.h>
#include <libavutil/avutil.h>
#include <libswscale/swscale.h>
}

namespace media {

std::vector<std::string> libraries()
{
    const auto named = [](const char* name, unsigned version) {
        return std::string(name) + ' ' + std::to_string(AV_VERSION_MAJOR(version)) + '.'
               + std::to_string(AV_VERSION_MINOR(version)) + '.' + std::to_string(AV_VERSION_MICRO(version));
    };
    return {named("libavformat", avformat_version()), named("libavcodec", avcodec_version()),
            named("libavutil", avutil_version()), named("libswscale", swscale_version())};
}

} // namespace media
