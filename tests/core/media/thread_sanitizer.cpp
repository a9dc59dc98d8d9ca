// libav isn't built for the thread sanitizer: it hands pictures from thread to thread by atomic counters that the
// sanitizer can't see. What is reported within libav says nothing; our own code stays watched.
#if defined(__SANITIZE_THREAD__)
extern "C" const char* __tsan_default_suppressions()
{
    return "race:libavcodec.so\nrace:libavformat.so\nrace:libavutil.so\nrace:libswscale.so\n"
           "race:libdav1d.so\nmutex:libavcodec.so\n";
}
#endif
